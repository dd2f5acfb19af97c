#include <stile/station/whip_coil.hpp>

#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/coil/lump.hpp>
#include <stile/station/wound.hpp>

namespace stile::station {
namespace {

constexpr double first_hz = 1e6, last_hz = 60e6, ratio = 1.25;
constexpr double nominal_hz = 7.1e6;  // whose values stand for the coil where one is asked for

}  // namespace

wire::WireCoil whip_coil(const SwitchedCoil& coil, std::size_t wire, double distance_m) {
  require(coil.turns > 0.0, "a coil part-way up a wire needs its turns");
  const coil::CoilModel model = coil::coil_model(wound(coil, coil.turns));
  const coil::Connection floating = coil::whole(model.winding, coil::Grounded::neither);
  wire::WireCoil made;
  made.wire = wire;
  made.distance_m = distance_m;
  made.length_m = coil::winding_length_m(model.winding);
  made.outside_m = model.winding.diameter_m + model.winding.wire.diameter_m;
  double nearest = network::infinite;
  for (double f = first_hz; f <= last_hz; f *= ratio) {
    const auto lump = coil::lump(coil::analyse(model, coil::solve_turns(model, f), floating));
    if (!lump) break;
    const double x_ohm = two_pi * f * lump->inductance_h;
    made.values.push_back(
        {f, lump->inductance_h, x_ohm / (x_ohm / lump->q + coil.contact_ohm), lump->self_capacitance_f});
    if (const double away = std::abs(std::log(f / nominal_hz)); away < nearest) {
      nearest = away;
      made.inductance_h = made.values.back().inductance_h;
      made.q = made.values.back().q;
      made.self_capacitance_f = made.values.back().self_capacitance_f;
    }
  }
  require(made.values.size() >= 4, "the coil resonates by itself below 2 MHz");
  return made;
}

}  // namespace stile::station
