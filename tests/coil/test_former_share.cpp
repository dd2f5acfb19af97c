#include <cmath>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/coil/detail/elliptic.hpp>
#include <stile/coil/former_share.hpp>

#include "reference.hpp"

using namespace stile;
using namespace stile::coil;
using namespace stile::coil::test;

TEST_CASE("the field energy in a former agrees with a sum over its volume") {
  const Winding winding = plain_winding(8, 0.04, 0.004, 0.001);
  const CoilModel model = coil_model(winding);
  const CoilPoint point = analyse(model, solve_turns(model, 7e6), whole(winding));
  const double inner = 0.010, outer = 0.016;
  std::vector<double> charges;
  double energy = 0.0;
  for (std::size_t i = 0; i < 9; ++i) {
    double charge = 0.0;  // voltages are nearly of one phase far below resonance
    for (std::size_t j = 0; j < 9; ++j) charge += model.capacitance_f(i, j) * point.nodes[j].voltage_v.imag();
    charges.push_back(charge);
    energy += charge * point.nodes[i].voltage_v.imag();
  }
  const auto potential = [&](double rho, double z) {
    double v = 0.0;
    for (std::size_t i = 0; i < 9; ++i)
      v += charges[i] * coil::detail::ring_potential(rho, 0.02, z - model.layout.nodes[i].z_m);
    return v;
  };
  double sum = 0.0;
  const double dr = 3e-4, dz = 5e-4, h = 1e-6;
  for (double rho = inner + 0.5 * dr; rho < outer; rho += dr) {
    for (double z = -0.12; z < 0.152; z += dz) {
      const double er = (potential(rho + h, z) - potential(rho - h, z)) / (2.0 * h);
      const double ez = (potential(rho, z + h) - potential(rho, z - h)) / (2.0 * h);
      sum += eps0_f_m * (er * er + ez * ez) * two_pi * rho * dr * dz;
    }
  }
  CHECK(off(former_field_share(model, point, inner, outer), sum / energy) <= 5e-3);
  const double all = former_field_share(model, point, 0.0, 0.0195);
  CHECK(off(former_field_share(model, point, 0.0, outer) + former_field_share(model, point, outer, 0.0195), all) <=
        1e-9);
  CHECK(all > 0.1);
  CHECK(all < 0.5);
  CHECK_THROWS_AS(former_field_share(model, point, 0.0, 0.02), DomainError);
  CHECK_THROWS_AS(former_field_share(model, point, 0.016, 0.010), DomainError);
}

TEST_CASE(
    "measured coils on a rod resonate between air and the bound of the rod and at half of it within 1.6 percent") {
  const Table rows = coil_reference("measured.csv");
  int seen = 0;
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    if (rows.text(i, "model") != "exact electrostatics, high-frequency L") continue;
    ++seen;
    const double wire = rows.number(i, "wire_diameter_mm") * 1e-3, diameter = rows.number(i, "mean_diameter_mm") * 1e-3;
    const double measured = rows.number(i, "measured") * 1e6;
    Winding winding = plain_winding(rows.number(i, "turns"), diameter, rows.number(i, "pitch_mm") * 1e-3, wire);
    const CoilModel model = coil_model(winding, {}, ChargeModel::round);
    const TurnSolution turns = solve_turns(model, 0.9 * measured);
    const CoilPoint air = analyse(model, turns, whole(winding, Grounded::neither));
    CoilModel rod = model;
    rod.winding.former = former("PE");
    rod.winding.former.field_share = former_field_share(model, air, 0.0, 0.5 * (diameter - wire));
    INFO(rows.text(i, "id"));
    const auto error = [&](const CoilModel& m) {
      return self_resonance_hz(m, turns, whole(winding, Grounded::neither)) / measured - 1.0;
    };
    const bool spaced = rows.number(i, "d_over_p") < 0.6;
    CHECK(std::abs(error(model) - (spaced ? 0.018 : 0.088)) <= 0.001);
    CHECK(std::abs(error(rod) - (spaced ? -0.045 : -0.053)) <= 0.001);
    rod.winding.former.field_share *= 0.5;
    CHECK(std::abs(error(rod)) <= 0.016);
  }
  CHECK(seen == 2);
}

TEST_CASE("the bound of the former that a winding stands on is that of a rod or a tube in it") {
  const Winding winding = plain_winding(12, 0.04, 0.002, 0.001);
  const CoilModel model = coil_model(winding);
  const CoilPoint point = analyse(model, solve_turns(model, 1e5), whole(winding, Grounded::from));
  CHECK(off(former_share_bound(winding, 0.0), former_field_share(model, point, 0.0, 0.0195)) <= 1e-12);
  CHECK(off(former_share_bound(winding, 0.0025), former_field_share(model, point, 0.017, 0.0195)) <= 1e-12);
  Winding unknown = winding;  // turns not known yet: as long as it is wide
  unknown.sections.front().turns = 1.0;
  CHECK(off(former_share_bound(unknown, 0.0), former_share_bound(plain_winding(21, 0.04, 0.002, 0.001), 0.0)) <= 1e-12);
  CHECK_THROWS_AS(former_share_bound(winding, 0.0195), DomainError);
}
