#pragma once
// A closed interval of any quantity.

namespace stile {

/// From `low` to `high`, both included; low <= high. The unit stands in the variable's name: range_hz, loss_range_db.
struct Range {
  double low = 0.0, high = 0.0;
};

}  // namespace stile
