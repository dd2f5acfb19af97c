#include <stile/match/load_limit.hpp>

#include <stile/base/errors.hpp>
#include <stile/match/bode_fano.hpp>

namespace stile::match {

LoadLimit load_limit(const load::Load& load, double frequency_hz, double swr_limit) {
  LoadLimit limit;
  try {
    limit.load_q = load::load_q(load, frequency_hz);
    if (*limit.load_q > 0.0) limit.widest_band_hz = bode_fano_bandwidth_hz(*limit.load_q, frequency_hz, swr_limit);
  } catch (const DomainError&) {
    return {};
  }
  return limit;
}

}  // namespace stile::match
