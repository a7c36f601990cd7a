// A ring of bytes between the program and an interrupt: one of them puts, the other takes. Portable.
#pragma once
#include <stdint.h>

// `Index` is read and written in one go by the processor; `size` is a power of two and less than Index can count.
template <typename Index, Index size>
class Ring {
 public:
  Index used() const { return (Index)(next_ - first_); }
  Index room() const { return (Index)(size - used()); }
  void put(char byte) {
    bytes_[next_ % size] = byte;
    next_ = (Index)(next_ + 1);
  }
  char take() {
    char byte = bytes_[first_ % size];
    first_ = (Index)(first_ + 1);
    return byte;
  }
  void clear() { first_ = next_; }

 private:
  volatile Index first_ = 0, next_ = 0;
  volatile char bytes_[size];
};
