#include <algorithm>
#include <cmath>
#include <string>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/coil/analysis.hpp>

#include "reference.hpp"

using namespace stile;
using namespace stile::coil;
using namespace stile::coil::test;

namespace {

/// Of that kind, and in these words.
bool warns(const CoilPoint& point, PointWarningKind kind, const std::string& word) {
  return coil::warns(point, kind) &&
         std::any_of(point.warnings.begin(), point.warnings.end(),
                     [&](const PointWarning& w) { return w.kind == kind && w.text.find(word) != std::string::npos; });
}

}  // namespace

TEST_CASE("without capacitance a coil is the sum over its turns") {
  const Winding winding = plain_winding(12, 0.04, 0.002, 0.001);
  const CoilModel model = coil_model(winding);
  const TurnSolution turns = solve_turns(model, 7e6);
  for (const Grounded grounded : {Grounded::to, Grounded::from, Grounded::neither}) {
    const CoilPoint point = analyse(model, turns, whole(winding, grounded));
    const cdouble z = sum_of(turns.z_ohm);
    CHECK(off(point.inductance_h, z.imag() / (two_pi * 7e6)) <= 1e-12);
    CHECK(off(point.resistance_ohm, z.real()) <= 1e-9);
    CHECK(off(point.q, z.imag() / z.real()) <= 1e-9);
    CHECK(off(point.q_practice.low * 1.15, point.q) <= 1e-12);
    CHECK(off(point.q_practice.high * 1.05, point.q) <= 1e-12);
  }
}

TEST_CASE("a coil split into sections is the whole coil") {
  // Cut at a turn's end and tied again; at a tap; and cut through a turn: always the same terminals.
  const Winding winding = plain_winding(15, 0.04, 0.002, 0.001);
  const CoilModel model = coil_model(winding);
  const TurnSolution turns = solve_turns(model, 5e6);
  const CoilPoint all = analyse(model, turns, whole(winding));
  for (const double cut : {5.0, 5.25, 9.5, 14.75}) {
    Connection c = whole(winding);
    c.straps.push_back({{0, cut}, {0, cut}, 0.0});  // a node more, nothing else
    const CoilPoint split = analyse(model, turns, c);
    INFO("cut at " << cut);
    CHECK(std::abs(split.z_ohm / all.z_ohm - 1.0) <= 1e-9);
    CHECK(off(split.inductance_h, all.inductance_h) <= 1e-9);
    CHECK(off(split.self_resonance_hz, all.self_resonance_hz) <= 1e-8);
    // L = L1 + L2 + 2 M from the open-circuit impedances against the far end.
    const SquareMatrix<cdouble> z = place_impedance_ohm(model, turns, {{0, 0.0}, {0, cut}}, WirePlace{0, 15.0});
    CHECK(std::abs(z(0, 0) / all.z_ohm - 1.0) <= 1e-9);
    CHECK(std::abs(z(0, 1) - z(1, 0)) <= 1e-9 * std::abs(z(0, 1)));
  }
}

TEST_CASE("two sections far apart in series are two coils") {
  Winding winding = plain_winding(10, 0.03, 0.002, 0.001);
  winding.sections.push_back({30.0, 6.0, 0.002, 0.0});
  const CoilModel model = coil_model(winding);
  const TurnSolution turns = solve_turns(model, 7e6);
  const CoilPoint both = analyse(model, turns, whole(winding));
  const Winding first = plain_winding(10, 0.03, 0.002, 0.001), second = plain_winding(6, 0.03, 0.002, 0.001);
  const double l = analyse(first, whole(first), 7e6).inductance_h + analyse(second, whole(second), 7e6).inductance_h;
  CHECK(off(both.inductance_h, l) <= 1e-6);
  // An idle section beside the coil changes no current but takes its eddy loss and capacitance.
  Connection one = whole(winding);
  one.to = {0, 10.0};
  one.straps.clear();
  CHECK(off(analyse(model, turns, one).inductance_h, analyse(first, whole(first), 7e6).inductance_h) <= 1e-6);
  CHECK(analyse(model, turns, one).self_resonance_hz > 0.0);
  Connection none = whole(winding);
  none.straps.clear();
  CHECK_THROWS_AS(analyse(model, turns, none), DomainError);  // no wire leads to the other end
}

TEST_CASE("power in is loss and stored energy") {
  Random random(77);
  for (int k = 0; k < 8; ++k) {
    const double pitch = random.uniform(1e-3, 3e-3);
    Winding winding =
        plain_winding(random.whole(5, 20), random.uniform(0.02, 0.06), pitch, pitch * random.uniform(0.2, 0.8));
    winding.former = former("PMMA");
    winding.former.field_share = 0.3;
    const double n = winding.sections.front().turns, f = random.uniform(2e6, 25e6);
    const CoilModel model = coil_model(winding);
    const TurnSolution turns = solve_turns(model, f);
    const double tap = random.whole(2, static_cast<int>(n) - 1) + (k % 2 == 0 ? 0.0 : 0.25);
    const Connection c = tapped(winding, tap, k % 3 == 0 ? Unused::shorted : Unused::open,
                                k % 4 == 0 ? Grounded::neither : Grounded::to);
    const CoilPoint point = analyse(model, turns, c);
    double watt = point.former_loss_ohm;
    for (const double w : point.turn_loss_w) watt += w;
    INFO("case " << k);
    CHECK(std::abs(watt - point.z_ohm.real()) <= 1e-9 * std::abs(point.z_ohm));
    CHECK(watt > 0.0);
  }
  // Stored: Im z = omega (i^H L i - v^H C v), whole turns.
  const Winding winding = plain_winding(12, 0.04, 0.002, 0.001);
  const CoilModel model = coil_model(winding);
  const TurnSolution turns = solve_turns(model, 9e6);
  const CoilPoint point = analyse(model, turns, whole(winding));
  double magnetic = 0.0, electric = 0.0;
  for (std::size_t i = 0; i < 12; ++i) {
    for (std::size_t j = 0; j < 12; ++j) {
      magnetic += (std::conj(point.turn_current_a[i]) * turns.z_ohm(i, j).imag() * point.turn_current_a[j]).real();
    }
  }
  for (std::size_t i = 0; i < 13; ++i) {
    for (std::size_t j = 0; j < 13; ++j) {
      electric += (std::conj(point.nodes[i].voltage_v) * model.capacitance_f(i, j) * point.nodes[j].voltage_v).real();
    }
  }
  CHECK(std::abs(magnetic - two_pi * 9e6 * electric - point.z_ohm.imag()) <= 1e-9 * std::abs(point.z_ohm));
}

TEST_CASE("the resonance found is where the terminals resonate") {
  const Winding winding = plain_winding(14, 0.04, 0.002, 0.0012);
  const CoilModel model = coil_model(winding);
  for (const Grounded grounded : {Grounded::to, Grounded::neither}) {
    const TurnSolution first = solve_turns(model, 5e6);
    const double f = self_resonance_hz(model, first, whole(winding, grounded));
    // From the turns at the resonance itself: the inductance carried there from 5 MHz is good to 2e-4.
    CHECK(off(self_resonance_hz(model, solve_turns(model, f), whole(winding, grounded)), f) <= 2e-4);
    const CoilPoint below = analyse(model, solve_turns(model, 0.999 * f), whole(winding, grounded));
    const CoilPoint above = analyse(model, solve_turns(model, 1.001 * f), whole(winding, grounded));
    CHECK(below.z_ohm.imag() > 0.0);
    CHECK(above.z_ohm.imag() < 0.0);
    CHECK(std::abs(below.z_ohm) > 100.0 * two_pi * f * below.inductance_h);
    CHECK(warns(above, PointWarningKind::above_resonance, "above the lowest self-resonance"));
    CHECK(warns(below, PointWarningKind::near_resonance, "% of the self-resonance"));
    CHECK(analyse(model, solve_turns(model, 0.1 * f), whole(winding, grounded)).warnings.empty());
  }
}

TEST_CASE("far below resonance the terminals follow the one-capacitance rule") {
  // L' = L/(1 - y^2) and R' = R/(1 - y^2)^2 with y = f/f0 (Hartshorn, Radio Frequency Measurements by Bridge and
  // Resonance Methods, 1940, as quoted in a posting of 2005): right for one capacitance across the coil, here to a
  // tenth of y^2.
  const Winding winding = plain_winding(20, 0.04, 0.002, 0.001);
  const CoilModel model = coil_model(winding);
  const CoilPoint point = analyse(model, solve_turns(model, 3e6), whole(winding));
  const double y2 = std::pow(point.frequency_hz / point.self_resonance_hz, 2);
  CHECK(std::abs(point.apparent_inductance_h * (1.0 - y2) / point.inductance_h - 1.0) <= 0.25 * y2);
  CHECK(point.z_ohm.real() > point.resistance_ohm);
  CHECK(point.apparent_q < point.q);
}

TEST_CASE("a former slows the coil and its loss follows the rule") {
  // 1/Q of the dielectric = y^2 (C_d/C_s) tan delta, with C_d/C_s the part of the capacitance that is in the
  // dielectric.
  Winding winding = plain_winding(20, 0.04, 0.002, 0.001);
  const CoilPoint air = analyse(winding, whole(winding), 3e6);
  winding.former = former("PMMA");
  winding.former.field_share = 0.25;
  const CoilPoint plastic = analyse(winding, whole(winding), 3e6);
  const double factor = 1.0 + 0.25 * (winding.former.relative_permittivity - 1.0);
  CHECK(off(plastic.self_resonance_hz * std::sqrt(factor), air.self_resonance_hz) <= 2e-4);  // L differs with the depth
  CHECK(air.former_loss_ohm == 0.0);
  const double y2 = std::pow(3e6 / plastic.self_resonance_hz, 2),
               in_dielectric = 0.25 * winding.former.relative_permittivity / factor;
  const double rule = y2 * in_dielectric * winding.former.loss_tangent * plastic.z_ohm.imag();
  CHECK(std::abs(plastic.former_loss_ohm / rule - 1.0) <= 0.15);  // the rule has one capacitance
  CHECK(plastic.apparent_q < air.apparent_q);
}

TEST_CASE("open turns leave inductance and shorted ones take it away") {
  const Winding winding = plain_winding(24, 0.04, 0.0015, 0.001);
  const CoilModel model = coil_model(winding);
  const TurnSolution turns = solve_turns(model, 3.6e6);
  const Winding alone = plain_winding(10, 0.04, 0.0015, 0.001);
  const CoilPoint part = analyse(alone, whole(alone), 3.6e6);
  const CoilPoint open = analyse(model, turns, tapped(winding, 10, Unused::open));
  const CoilPoint shorted = analyse(model, turns, tapped(winding, 10, Unused::shorted));
  CHECK(open.inductance_h < part.inductance_h);  // their metal keeps the field out
  CHECK(off(open.inductance_h, part.inductance_h) <= 0.02);
  CHECK(open.resistance_ohm > part.resistance_ohm);  // eddy currents in idle turns
  CHECK(shorted.inductance_h < 0.98 * part.inductance_h);
  CHECK(shorted.q < open.q);  // far below resonance
  // L - M^2/L2 of perfect conductors is the limit of the shorted coil; the loss keeps it a little off.
  const SquareMatrix<double> l = perfect_inductance_h(winding);
  double l1 = 0.0, l2 = 0.0, m = 0.0;
  for (std::size_t i = 0; i < 24; ++i) {
    for (std::size_t j = 0; j < 24; ++j) (i < 10 && j < 10 ? l1 : i >= 10 && j >= 10 ? l2 : m) += l(i, j);
  }
  CHECK(off(shorted.inductance_h, l1 - 0.25 * m * m / l2) <= 0.01);
  CHECK(std::abs(shorted.turn_current_a.back()) > 0.1);
  // The switch's resistance turns the shorted rest into an open one as it grows.
  const CoilPoint weak = analyse(model, turns, tapped(winding, 10, Unused::shorted, Grounded::to, 1e9));
  CHECK(off(weak.inductance_h, open.inductance_h) <= 1e-6);
  CHECK(off(weak.resistance_ohm, open.resistance_ohm) <= 1e-4);
  const CoilPoint lossy = analyse(model, turns, tapped(winding, 10, Unused::shorted, Grounded::to, 1.0));
  CHECK(lossy.resistance_ohm > shorted.resistance_ohm);
}

TEST_CASE("part turns fill the gap between whole ones") {
  const Winding winding = plain_winding(12, 0.04, 0.002, 0.001);
  const CoilModel model = coil_model(winding);
  const TurnSolution turns = solve_turns(model, 7e6);
  double before = analyse(model, turns, tapped(winding, 6, Unused::open)).inductance_h;
  const double step = analyse(model, turns, tapped(winding, 7, Unused::open)).inductance_h - before;
  for (const double tap : {6.25, 6.5, 6.75, 7.0}) {
    const double l = analyse(model, turns, tapped(winding, tap, Unused::open)).inductance_h;
    CHECK(l - before > 0.2 * step);
    CHECK(l - before < 0.3 * step);
    before = l;
  }
  // A winding that ends there is nearly the tapped one.
  const Winding part = plain_winding(6.5, 0.04, 0.002, 0.001);
  CHECK(off(analyse(part, whole(part), 7e6).inductance_h,
            analyse(model, turns, tapped(winding, 6.5, Unused::open)).inductance_h) <= 0.01);
}

TEST_CASE("voltages grow from the grounded end") {
  const Winding winding = plain_winding(20, 0.04, 0.002, 0.001);
  const CoilPoint point = analyse(winding, whole(winding, Grounded::from), 5e6);
  REQUIRE(point.nodes.size() == 21);
  for (std::size_t i = 1; i < point.nodes.size(); ++i) {
    CHECK(std::abs(point.nodes[i].voltage_v) > std::abs(point.nodes[i - 1].voltage_v));
  }
  CHECK(point.nodes.front().voltage_v == cdouble{});
  CHECK(std::abs(point.nodes.back().voltage_v + point.z_ohm) <= 1e-9 * std::abs(point.z_ohm));
  CHECK(std::abs(std::abs(point.turn_current_a.back()) - 1.0) <= 0.05);
}

TEST_CASE("the charge at each node is what the currents beside it differ by") {
  // At a node the current that comes less the one that goes is j omega q, at the tap less the 1 A that leaves there.
  Winding winding = plain_winding(12, 0.04, 0.002, 0.001);
  winding.former = former("PMMA");
  winding.former.field_share = 0.3;
  const CoilModel model = coil_model(winding);
  const double f = 9e6;
  const CoilPoint point = analyse(model, solve_turns(model, f), tapped(winding, 8, Unused::open, Grounded::from));
  REQUIRE(point.nodes.size() == 13);
  REQUIRE(point.turn_current_a.size() == 12);
  for (std::size_t k = 1; k < 13; ++k) {
    const cdouble comes = point.turn_current_a[k - 1], goes = k < 12 ? point.turn_current_a[k] : 0.0;
    INFO("node " << k);
    CHECK(off(two_pi * f * point.nodes[k].charge_c, std::abs(comes - goes - (k == 8 ? 1.0 : 0.0))) <= 1e-7);
  }
}

TEST_CASE("the wire of all nodes is the wire of the winding") {
  for (const double turns : {5.0, 5.5, 12.25}) {
    Winding winding = plain_winding(turns, 0.04, 0.002, 0.001);
    winding.sections.push_back({0.04, 3.0, 0.003, 0.0});
    const CoilPoint point = analyse(winding, whole(winding), 7e6);
    double sum_m = 0.0;
    for (const NodeState& node : point.nodes) sum_m += node.wire_m;
    INFO(turns << " turns");
    CHECK(off(sum_m, wire_length_m(winding)) <= 1e-12);
    // Half a turn at an end, whole ones between, nothing at a cut.
    const double turn_m = std::hypot(pi * 0.04, 0.002);
    CHECK(off(point.nodes[0].wire_m, 0.5 * turn_m) <= 1e-12);
    CHECK(off(point.nodes[1].wire_m, turn_m) <= 1e-12);
  }
  const Winding winding = plain_winding(8.0, 0.04, 0.002, 0.001);
  const CoilPoint cut = analyse(winding, tapped(winding, 5.25, Unused::open), 7e6);
  REQUIRE(cut.nodes.size() == 10);
  CHECK(cut.nodes[6].place.turn == 5.25);
  CHECK(cut.nodes[6].wire_m == 0.0);
  CHECK(cut.nodes[6].charge_c == 0.0);
  // The turn that is cut shows the larger of its two currents: 1 A comes to the tap, next to nothing goes on.
  CHECK(std::abs(std::abs(cut.turn_current_a[5]) - 1.0) <= 0.05);
  CHECK(std::abs(cut.turn_current_a[6]) < 0.05);
}

TEST_CASE("Q at the terminals has practice in the winding and not in the former, worked by hand") {
  // 3+200j ohm of which the former has 0.5: 2.5 ohm of winding are 2.625 to 2.875 in practice.
  CoilPoint p;
  p.frequency_hz = 7e6;
  p.self_resonance_hz = 20e6;
  p.z_ohm = {3.0, 200.0};
  p.former_loss_ohm = 0.5;
  CHECK(off(terminal_q(p).low, 200.0 / 3.375) <= 1e-14);
  CHECK(off(terminal_q(p).high, 200.0 / 3.125) <= 1e-14);
  p.self_resonance_hz = 0.0;  // not found: nothing speaks against it
  CHECK(off(terminal_q(p).high, 64.0) <= 1e-14);
  p.self_resonance_hz = 7e6;
  CHECK(terminal_q(p).low == 0.0);
  CHECK(terminal_q(p).high == 0.0);
  p.self_resonance_hz = 20e6;
  p.z_ohm = {3.0, -200.0};
  CHECK(terminal_q(p).high == 0.0);
}

TEST_CASE("a coil is near its resonance from half of it on") {
  const Winding winding = plain_winding(14, 0.04, 0.002, 0.0012);
  const CoilModel model = coil_model(winding);
  const double f0 = self_resonance_hz(model, solve_turns(model, 10e6), whole(winding));
  for (const double y : {0.3, 0.49, 0.51, 0.97, 1.03, 1.5}) {
    const CoilPoint point = analyse(model, solve_turns(model, y * f0), whole(winding));
    INFO(y);
    CHECK(coil::warns(point, PointWarningKind::near_resonance) == (y > 0.5 && y < 1.0));
    CHECK(coil::warns(point, PointWarningKind::above_resonance) == (y > 1.0));
  }
}

TEST_CASE("analysis refuses connections that make no sense") {
  const Winding winding = plain_winding(10, 0.04, 0.002, 0.001);
  const CoilModel model = coil_model(winding);
  const TurnSolution turns = solve_turns(model, 7e6);
  CHECK_THROWS_AS(analyse(model, turns, Connection{{0, 3.0}, {0, 3.0}, Grounded::to, {}}), DomainError);
  CHECK_THROWS_AS(analyse(model, turns, Connection{{0, 0.0}, {0, 11.0}, Grounded::to, {}}), DomainError);
  CHECK_THROWS_AS(analyse(model, turns, Connection{{0, 0.0}, {1, 1.0}, Grounded::to, {}}), DomainError);
  CHECK_THROWS_AS(analyse(model, turns, Connection{{0, 0.0}, {0, 10.0}, Grounded::to, {{{0, 0.0}, {0, 10.0}, 0.0}}}),
                  DomainError);
  CHECK_THROWS_AS(tapped(winding, 0.0, Unused::open), DomainError);
  CHECK_THROWS_AS(tapped(winding, 12.0, Unused::open), DomainError);
  CHECK_THROWS_AS(tapped(winding, 5.0, Unused::shorted, Grounded::to, -1.0), DomainError);
  CHECK_THROWS_AS(shifted(turns, 10e6), DomainError);
  CHECK(warns(analyse(coil_model(winding, {CurrentModel::even, 0}), turns, whole(winding)),
              PointWarningKind::no_proximity, "proximity"));
  CHECK(warns(
      analyse(plain_winding(4, 0.04, 0.00102, 0.001),
              whole(winding).grounded == Grounded::to ? Connection{{0, 0.0}, {0, 4.0}, Grounded::to, {}} : Connection{},
              7e6),
      PointWarningKind::close_winding, "one per cent of pitch"));
}

TEST_CASE("close winding is warned of from 0.8 of the pitch and turns that radiate from a tenth of the wavelength") {
  const auto of = [](double pitch_m, double diameter_m, double f) {
    const Winding w = plain_winding(4, diameter_m, pitch_m, 0.001);
    return analyse(w, whole(w), f);
  };
  CHECK(warns(of(0.00124, 0.04, 7e6), PointWarningKind::close_winding, "one per cent of pitch"));
  CHECK(!warns(of(0.00127, 0.04, 7e6), PointWarningKind::close_winding, "one per cent of pitch"));
  CHECK(warns(of(0.01, 1.0, 14e6), PointWarningKind::radiates, "more than a tenth of the wavelength"));
  CHECK(!warns(of(0.01, 0.5, 14e6), PointWarningKind::radiates, "more than a tenth of the wavelength"));
}

TEST_CASE("a last turn of any part is a coil between its neighbours") {
  // 10.01 turns were refused as standing too close, and 1e-10 crashed: arcs shorter than the wire is thick.
  const auto point = [](double turns) {
    const Winding w = plain_winding(turns, 0.04, 0.002, 0.001);
    return analyse(w, whole(w), 7e6);
  };
  const CoilPoint ten = point(10.0), quarter = point(10.25);
  double before_h = 0.996 * ten.inductance_h;  // the part turn's eddy currents are those of a whole ring
  for (const double turns : {10.0001, 10.01, 10.02, 10.05, 10.1}) {
    INFO(turns << " turns");
    const CoilPoint p = point(turns);
    CHECK(p.inductance_h > before_h);
    CHECK(p.inductance_h < quarter.inductance_h);
    CHECK(p.resistance_ohm >= ten.resistance_ohm * 0.999);
    // The part turn's end and the turns beside it stand for their own wire: a few per cent of the resonance at most.
    CHECK(std::abs(p.self_resonance_hz / ten.self_resonance_hz - 1.0) <= 0.05);
    before_h = p.inductance_h;
  }
  for (const double turns : {1e-10, 0.0, 0.009, 2000.5, 1e10}) {
    INFO(turns << " turns");
    CHECK_THROWS_AS(point(turns), DomainError);
  }
  CHECK(point(0.01).inductance_h > 0.0);
  CHECK(point(0.3).inductance_h < point(1.0).inductance_h);
}

TEST_CASE("a tap a hair beside a turn's end gives the coil at that end") {
  const Winding w = plain_winding(12.0, 0.04, 0.002, 0.001);
  const CoilModel model = coil_model(w);
  const TurnSolution turns = solve_turns(model, 7e6);
  const CoilPoint at = analyse(model, turns, tapped(w, 6.0, Unused::open));
  for (const double beside : {-1e-4, 1e-4, 1e-3}) {
    const CoilPoint near = analyse(model, turns, tapped(w, 6.0 + beside, Unused::open));
    INFO(beside);
    CHECK(off(near.inductance_h, at.inductance_h) <= 1e-3);
    CHECK(near.self_resonance_hz > 0.0);
    CHECK(off(near.self_resonance_hz, at.self_resonance_hz) <= 1e-3);
  }
}

TEST_CASE("turns carried to a near frequency are the turns there") {
  const Winding winding = plain_winding(10, 0.04, 0.002, 0.001);
  const CoilModel model = coil_model(winding);
  const TurnSolution there = solve_turns(model, 7.2e6), carried = shifted(solve_turns(model, 7e6), 7.2e6);
  CHECK(off(sum_of(carried.z_ohm).imag(), sum_of(there.z_ohm).imag()) <= 3e-4);
  CHECK(off(sum_of(carried.z_ohm).real(), sum_of(there.z_ohm).real()) <= 1e-3);
}

TEST_CASE("a sweep warns of its resonance and of radiation once, where each begins") {
  const Winding winding = plain_winding(20, 0.05, 0.002, 0.001);
  const CoilModel model = coil_model(winding);
  std::vector<CoilPoint> points;
  for (const double f : {2e6, 15e6, 18e6, 40e6, 60e6})
    points.push_back(analyse(model, solve_turns(model, f), whole(winding)));
  const double resonance_hz = points.front().self_resonance_hz;
  REQUIRE(resonance_hz > 18e6);
  REQUIRE(resonance_hz < 30e6);
  const std::vector<std::string> told = sweep_warnings(points);
  REQUIRE(told.size() == 2);
  CHECK(told[0].find("15 MHz is ") == 0);
  CHECK(told[1].find("40 MHz lies above") == 0);
  CHECK(sweep_warnings({&points[4], 1}).front().find("60 MHz lies above") == 0);
  CHECK(sweep_warnings({}).empty());
}
