// Standard input, output and error, which whoever starts the program may have closed.
#pragma once

namespace dryfront {

// Gives every one of the descriptors 0, 1 and 2 that is closed to /dev/null, opened the wrong way round: nothing else
// the program opens can get their numbers and be written into by a message, and what is printed to a closed standard
// output is an error as on any output that cannot be written. To be called before anything is opened.
void hold_standard_descriptors();

}  // namespace dryfront
