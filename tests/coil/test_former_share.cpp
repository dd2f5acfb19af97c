#include <cmath>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/coil/detail/elliptic.hpp>
#include <stile/coil/former_share.hpp>

#include "reference.hpp"

using namespace stile;
using namespace stile::test;

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
      v += charges[i] * detail::ring_potential(rho, 0.02, z - model.layout.nodes[i].z_m);
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

TEST_CASE("measured coils on a rod resonate between air and the bound of the rod") {
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
    CHECK(air.self_resonance_hz > measured);
    CHECK(self_resonance_hz(rod, turns, whole(winding, Grounded::neither)) < measured);
    CHECK(self_resonance_hz(rod, turns, whole(winding, Grounded::neither)) > 0.94 * measured);
  }
  CHECK(seen == 2);
}
