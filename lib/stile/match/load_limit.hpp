#pragma once
// How wide a band a stated load leaves to any network without loss.

#include <optional>

#include <stile/load/load.hpp>

namespace stile::match {

/// What is not known is nothing.
struct LoadLimit {
  std::optional<double> load_q;          ///< >= 0; not known for a load without resistance, and for one sample alone
  std::optional<double> widest_band_hz;  ///< by Bode and Fano; not known either for a resistance, whose Q is 0
};

/// Q of a load at a frequency (see load_q: a constant load gives |X|/R) and bode_fano_bandwidth_hz of it. Both are
/// unknown where either has no value.
///
/// @param frequency_hz  > 0, the band's centre
/// @param swr_limit     > 1
LoadLimit load_limit(const load::Load& load, double frequency_hz, double swr_limit);

}  // namespace stile::match
