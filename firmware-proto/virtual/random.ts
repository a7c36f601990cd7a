/** Reproducible random numbers for simulations: SplitMix32-seeded xoshiro128** (Blackman and Vigna 2018), normals by Box-Muller. */
export class Random {
  private readonly state = new Uint32Array(4);
  private spare: number | undefined;

  constructor(seed: number) {
    let z = seed >>> 0;
    for (let i = 0; i < 4; i += 1) {
      z = (z + 0x9e3779b9) >>> 0;
      let t = z ^ (z >>> 16);
      t = Math.imul(t, 0x21f0aaad);
      t ^= t >>> 15;
      t = Math.imul(t, 0x735a2d97);
      this.state[i] = t ^ (t >>> 15);
    }
  }

  /** Uniform in [0, 1). */
  uniform(): number {
    const s = this.state;
    const rotated = Math.imul(s[1], 5);
    const result = Math.imul((rotated << 7) | (rotated >>> 25), 9) >>> 0;
    const t = s[1] << 9;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = (s[3] << 11) | (s[3] >>> 21);
    return result / 4294967296;
  }

  between(low: number, high: number): number {
    return low + (high - low) * this.uniform();
  }

  /** Standard normal. */
  normal(): number {
    if (this.spare !== undefined) {
      const value = this.spare;
      this.spare = undefined;
      return value;
    }
    const radius = Math.sqrt(-2 * Math.log(1 - this.uniform()));
    const angle = 2 * Math.PI * this.uniform();
    this.spare = radius * Math.sin(angle);
    return radius * Math.cos(angle);
  }

  normal3(sigma = 1): [number, number, number] {
    return [this.normal() * sigma, this.normal() * sigma, this.normal() * sigma];
  }

  /** Uniform on the unit sphere. */
  direction(): [number, number, number] {
    const z = this.between(-1, 1);
    const angle = this.between(0, 2 * Math.PI);
    const r = Math.sqrt(1 - z * z);
    return [r * Math.cos(angle), r * Math.sin(angle), z];
  }
}
