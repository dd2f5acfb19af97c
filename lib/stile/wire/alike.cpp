#include <stile/wire/alike.hpp>

#include <stile/base/constants.hpp>
#include <stile/wire/detail/ground_model.hpp>
#include <stile/wire/detail/solution.hpp>

namespace stile::wire {

using namespace detail;

AlikeAntennas::AlikeAntennas(const Antenna& first, const Ground& ground, double frequency_hz,
                             const SolveOptions& options)
    : ground_(ground), frequency_hz_(frequency_hz), options_(with_tables(options)) {
  const Mesh mesh = checked_mesh(first, ground, frequency_hz, options_);
  const GroundModel model = make_ground_model(ground, frequency_hz, options_.method, *options_.tables);
  known_ = std::make_unique<const KnownCouplings>(mesh, model, two_pi * frequency_hz / speed_of_light_m_s);
}

AlikeAntennas::~AlikeAntennas() = default;

AntennaSolution AlikeAntennas::solve(const Antenna& antenna) const {
  const Mesh mesh = checked_mesh(antenna, ground_, frequency_hz_, options_);
  return solution_of(antenna, ground_, frequency_hz_, options_, mesh,
                     mesh_currents(antenna, ground_, frequency_hz_, options_, mesh, known_.get()));
}

cdouble AlikeAntennas::feed_ohm(const Antenna& antenna) const {
  const Mesh mesh = checked_mesh(antenna, ground_, frequency_hz_, options_);
  return feed_impedance(antenna, frequency_hz_, mesh,
                        mesh_currents(antenna, ground_, frequency_hz_, options_, mesh, known_.get()));
}

}  // namespace stile::wire
