#include <cmath>

#include <catch2/catch.hpp>

#include <stile/coil/lump.hpp>
#include <stile/network/element.hpp>

#include "reference.hpp"

using namespace stile;
using namespace stile::coil;
using namespace stile::coil::test;

TEST_CASE("a coil as a lump has its impedance with the loss of practice") {
  Winding winding = plain_winding(30, 0.04, 0.002, 0.001);
  winding.former = former("PETG");
  winding.former.field_share = 0.1;
  for (const double f : {1.8e6, 3.65e6, 7.1e6, 10.1e6}) {
    const CoilPoint p = analyse(winding, whole(winding, Grounded::neither), f);
    const auto l = lump(p);
    INFO(f);
    REQUIRE(l);
    const cdouble z = network::impedance(network::Inductor{l->inductance_h, {l->q}, l->self_capacitance_f}, f);
    const cdouble expected{1.1 * (p.z_ohm.real() - p.former_loss_ohm) + p.former_loss_ohm, p.z_ohm.imag()};
    CHECK(std::abs(z - expected) <= 1e-9 * std::abs(expected));
    CHECK(l->inductance_h == p.inductance_h);
    CHECK(l->self_capacitance_f > 0.1e-12);
    CHECK(l->self_capacitance_f < 5e-12);
  }
  const CoilPoint free = analyse(winding, whole(winding, Grounded::neither), 7e6);
  const CoilPoint above = analyse(winding, whole(winding, Grounded::neither), 1.2 * free.self_resonance_hz);
  CHECK_FALSE(lump(above));
}
