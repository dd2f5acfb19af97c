#pragma once
// What the charts of a whip are drawn from.

#include <string>
#include <vector>

#include <stile/wire/solve.hpp>

namespace stile::plots {

/// One condition of an antenna.
struct WhipSweep {
  std::string condition;
  std::vector<wire::AntennaSolution> points;  ///< rising frequency, not empty
};

}  // namespace stile::plots
