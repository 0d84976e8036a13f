// How often this executable has called operator new; see allocation_count.cpp.
#pragma once

namespace dryfront {

long allocation_count();
// False under a sanitizer, which brings an allocator of its own.
bool allocations_are_counted();

}  // namespace dryfront
