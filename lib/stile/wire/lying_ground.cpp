#include <stile/wire/lying_ground.hpp>

#include <cmath>

#include <stile/base/errors.hpp>

namespace stile::wire {

GroundCorner with_ground_factor(const AntennaSolution& solution, double factor) {
  require(std::isfinite(factor) && factor > 0.0, "the factor of a ground resistance must be > 0");
  const double more = 1.0 + (factor - 1.0) * solution.share.ground;  // of the feed resistance
  return {{solution.feed_ohm.real() * more, solution.feed_ohm.imag()}, solution.share.radiated / more};
}

}  // namespace stile::wire
