// Replaces the global operator new by one that counts. For the whole executable: it changes nothing but the count.
#include "allocation_count.hpp"

#include <atomic>
#include <cstdlib>
#include <new>

namespace {

std::atomic<long> count{0};

}  // namespace

long dryfront::allocation_count() { return count.load(); }

// The sanitizer has an operator of its own; g++ says so by a macro, clang++ by a feature.
#ifdef __has_feature
#if __has_feature(address_sanitizer)
#define DRYFRONT_SANITIZED_ADDRESSES
#endif
#endif
#if defined(__SANITIZE_ADDRESS__) || defined(DRYFRONT_SANITIZED_ADDRESSES)

bool dryfront::allocations_are_counted() { return false; }

#else

bool dryfront::allocations_are_counted() { return true; }

void* operator new(std::size_t size) {
  ++count;
  if (void* memory = std::malloc(size > 0 ? size : 1)) return memory;
  throw std::bad_alloc();
}

void operator delete(void* memory) noexcept { std::free(memory); }
void operator delete(void* memory, std::size_t) noexcept { std::free(memory); }

#endif
