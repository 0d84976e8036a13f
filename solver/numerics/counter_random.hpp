// Numbers that look random and are a function of a key and a counter: the same for any order in which they are asked.
#pragma once

#include <cstdint>

namespace dryfront {

// Uniform in (0, 1), never an end: the centres of 2^53 equal cells. `bits` are 64 equally likely bits.
double unit_interval(std::uint64_t bits);

// 64 bits that look random for every key and counter (splitmix64: Steele, Lea, Flood 2014).
std::uint64_t scrambled(std::uint64_t key, std::uint64_t counter);

// One stream of such numbers.
class CounterRandom {
 public:
  explicit CounterRandom(std::uint64_t key) : key_(key) {}
  double uniform() { return unit_interval(scrambled(key_, counter_++)); }
  double normal();  // standard normal, by the quantile of a uniform number

 private:
  std::uint64_t key_, counter_ = 0;
};

}  // namespace dryfront
