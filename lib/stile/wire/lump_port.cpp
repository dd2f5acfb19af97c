#include <stile/wire/lump_port.hpp>

#include <stile/base/errors.hpp>
#include <stile/wire/detail/solution.hpp>

namespace stile::wire {

using namespace detail;

network::AdmittanceMatrix lump_port(const Antenna& antenna, std::size_t lump, const Ground& ground, double frequency_hz,
                                    const SolveOptions& options) {
  require(lump < antenna.lumps.size(), "there is no such lump");
  Antenna without = antenna;
  without.lumps[lump] = {antenna.lumps[lump].wire, antenna.lumps[lump].distance_m};
  const Mesh mesh = checked_mesh(without, ground, frequency_hz, options);
  const GroundModel model = make_ground_model(ground, frequency_hz, options.method, *with_tables(options).tables);
  const std::vector<double> feed = feed_weights(mesh), place = lump_weights(mesh, mesh.lumps[lump]);
  const auto x = solve_currents({feed, place}, coupling_matrix(mesh, model, frequency_hz),
                                {series_entries(without, mesh, cell_losses(antenna, mesh, frequency_hz), frequency_hz)})
                     .front();
  return {current_of(feed, x[0]) + base_admittance(antenna.feed, frequency_hz), current_of(feed, x[1]),
          current_of(place, x[0]), current_of(place, x[1])};
}

}  // namespace stile::wire
