#pragma once
// What stile-net is asked for, and what came out.

#include <vector>

#include <stile/load/load.hpp>
#include <stile/network/sweep_ratings.hpp>
#include <stile/safety/cautions.hpp>

namespace stile::tools {

struct NetCase {
  network::Ladder ladder;
  network::Source source;
  load::Load load;
  std::vector<double> frequency_hz;
  std::vector<network::Evaluation> points;  ///< one or more; harmonics are empty where the load is not known
  std::vector<network::SweepOverload> broken;
  std::vector<safety::Caution> cautions;
};

}  // namespace stile::tools
