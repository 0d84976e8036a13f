#include "report/range_warning.hpp"

#include "files/model_range.hpp"

namespace dryfront {

void warn_past_range(const Console& console, const ModeRecord& record) {
  if (record.past_range.happened()) console.warn(model_range_sentence(record));
}

}  // namespace dryfront
