/** Listeners called in the order they came; each registration returns the function that ends it. */
export class Listeners<T> {
  private list: readonly ((value: T) => void)[] = [];

  add(listener: (value: T) => void): () => void {
    const once = (value: T): void => listener(value);
    this.list = [...this.list, once];
    return () => {
      this.list = this.list.filter((other) => other !== once);
    };
  }

  emit(value: T): void {
    for (const listener of this.list) listener(value);
  }

  get count(): number {
    return this.list.length;
  }

  clear(): void {
    this.list = [];
  }
}
