#include <stile/wire/alike.hpp>

#include <stile/wire/detail/solution.hpp>

namespace stile::wire {

using namespace detail;

AlikeAntennas::AlikeAntennas(const Antenna& first, const Ground& ground, double frequency_hz,
                             const SolveOptions& options)
    : ground_(ground), frequency_hz_(frequency_hz), options_(with_tables(options)) {
  if (!options_.known) options_.known = std::make_shared<KnownCouplings>();
  checked_mesh(first, ground, frequency_hz, options_);
}

AntennaSolution AlikeAntennas::solve(const Antenna& antenna) const {
  return solve_antenna(antenna, ground_, frequency_hz_, options_);
}

cdouble AlikeAntennas::feed_ohm(const Antenna& antenna) const {
  const Mesh mesh = checked_mesh(antenna, ground_, frequency_hz_, options_);
  return feed_impedance(antenna, frequency_hz_, mesh,
                        mesh_currents({&antenna, 1}, ground_, frequency_hz_, options_, mesh).front());
}

}  // namespace stile::wire
