#include <cmath>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/coil/analysis.hpp>
#include <stile/coil/closed_forms.hpp>
#include <stile/conductor/wire_gauge.hpp>

#include "reference.hpp"

using namespace stile;
using namespace stile::coil;
using namespace stile::coil::test;

namespace {

double resonance_hz(const Winding& winding, Grounded grounded, const RingOptions& rings, ChargeModel charges,
                    double near_hz) {
  const CoilModel model = coil_model(winding, rings, charges);
  return self_resonance_hz(model, solve_turns(model, near_hz), whole(winding, grounded));
}

}  // namespace

TEST_CASE("capacitances are symmetric and shield and agree for thin wire") {
  for (const double share : {0.02, 0.5, 0.9}) {
    const Winding winding = plain_winding(8, 0.05, 0.004, 0.004 * share);
    const SquareMatrix<double> round = node_capacitance_f(winding, ChargeModel::round),
                               thin = node_capacitance_f(winding, ChargeModel::thin);
    REQUIRE(round.n == 9);
    for (std::size_t i = 0; i < round.n; ++i) {
      double sum = 0.0;
      for (std::size_t j = 0; j < round.n; ++j) {
        INFO("d/p " << share << " entry " << i << " " << j);
        CHECK(round(i, j) == round(j, i));
        sum += round(i, j);
        if (share < 0.1) CHECK(std::abs(round(i, j) - thin(i, j)) <= 1e-3 * round(i, i));
      }
      CHECK(sum > 0.0);  // all at one volt: charge of one sign
    }
  }
}

TEST_CASE("one turn is two half arcs with the coupling of rings") {
  // Half arc: (2 ln(8a/r) - 8 G/pi)/(4 pi^2 eps0 a), G Catalan's constant; mutual of two rings a pitch apart, ln(8a/p)
  // to the first order in p/a. A ring cut into its halves would have ln(8a/r)/(4 pi^2 eps0 a) in all: 14 % more
  // capacitance.
  const SquareMatrix<double> c = node_capacitance_f(plain_winding(1, 2.0, 0.05, 0.002), ChargeModel::thin);
  const double unit = 1.0 / (4.0 * pi * pi * eps0_f_m), catalan = 0.915965594177219015;
  const double own = (2.0 * std::log(8000.0) - 8.0 * catalan / pi) * unit, mutual = std::log(160.0) * unit;
  CHECK(off(sum_of(c), 2.0 / (own + mutual)) <= 1e-3);
  CHECK(off(c(0, 0) - c(0, 1), 2.0 / (own - mutual) / 2.0) <= 1e-3);
}

TEST_CASE("thin rings lie above round conductors in resonance as the rows say") {
  // Two digits after the point. Ours and the rows' round conductors differ by up to 1 % for ten turns all but touching,
  // where the end of a winding matters (how half turns are closed is a choice); 0.15 % of the frequency otherwise.
  const Table rows = coil_reference("srf_thin_vs_exact_capacitance.csv");
  REQUIRE(rows.rows.size() == 90);
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    const double n = rows.number(i, "N"), share = rows.number(i, "d_over_p"), d = 0.05,
                 pitch = rows.number(i, "l_over_D") * d / n;
    const Grounded grounded = rows.text(i, "mode") == "base" ? Grounded::to : Grounded::neither;
    const Winding winding = plain_winding(n, d, pitch, share * pitch);
    const double ratio = resonance_hz(winding, grounded, {CurrentModel::even, 0}, ChargeModel::thin, 1e7) /
                         resonance_hz(winding, grounded, {CurrentModel::even, 0}, ChargeModel::round, 1e7);
    INFO(rows.text(i, "mode") << " N " << n << " l/D " << rows.number(i, "l_over_D") << " d/p " << share);
    CHECK(std::abs(100.0 * (ratio - 1.0) - rows.number(i, "f_thin_over_f_exact_minus_1_percent")) <=
          (n < 15.0 && share > 0.6 ? 1.0 : 0.15));
  }
}

TEST_CASE("measured resonances of three coils with a grounded base are met within 2 percent") {
  // Whether the plane mirrors the magnetic field too decides 2 to 3 %: the reference model's own errors (0.25, 1.3, 1.4
  // %) are met only with it, the posting does not say what the coils stood on. Both ways stay within 2 %.
  const Table rows = coil_reference("srf_measured_grounded_base.csv");
  REQUIRE(rows.rows.size() == 3);
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    const std::string name = rows.text(i, "coil");
    const double wire = conductor::wire_diameter_m(name.find("12AWG") != std::string::npos ? "AWG 12" : "AWG 24");
    const double n = rows.number(i, "N");
    Winding winding = plain_winding(n, rows.number(i, "D_m"), rows.number(i, "l_m") / n, wire);
    const double measured = rows.number(i, "f_measured_Hz");
    INFO(name);
    const double free =
        resonance_hz(winding, Grounded::from, {CurrentModel::even, 0}, ChargeModel::automatic, measured);
    CHECK(std::abs(free / measured - 1.0 - rows.number(i, "err_model_without_plane")) <= 2e-3);
    winding.plane = Plane{-rows.number(i, "base_height_m"), true};
    const double metal =
        resonance_hz(winding, Grounded::from, {CurrentModel::even, 0}, ChargeModel::automatic, measured);
    CHECK(std::abs(metal / measured - 1.0) <= 0.02);
    CHECK(off(metal, rows.number(i, "f_model_Hz")) <= 2e-3);
    winding.plane->mirrors_magnetic = false;
    CHECK(std::abs(resonance_hz(winding, Grounded::from, {CurrentModel::even, 0}, ChargeModel::automatic, measured) /
                       measured -
                   1.0) <= 0.02);
  }
}

TEST_CASE("measured coils of others are met") {
  // Free solenoids in air, enamel and rod left out: test_former_share.cpp says how far off. Small air coils: four that
  // were predicted by another implementation of the model, within 6 %. These limits were set after the errors were
  // seen: they guard against regression. The table's measured Q of the small coils is beyond copper: unused.
  const Table rows = coil_reference("measured.csv");
  int close = 0, spaced = 0, small = 0;
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    const Winding winding = plain_winding(rows.number(i, "turns"), rows.number(i, "mean_diameter_mm") * 1e-3,
                                          rows.number(i, "pitch_mm") * 1e-3, rows.number(i, "wire_diameter_mm") * 1e-3);
    const double measured = rows.number(i, "measured"), predicted = rows.number(i, "predicted");
    const std::string model = rows.text(i, "model");
    INFO(rows.text(i, "id") << " " << model);
    if (rows.text(i, "unit") == "nH") {
      ++small;
      const CoilPoint point = analyse(winding, whole(winding), rows.number(i, "f_MHz") * 1e6);
      CHECK(std::abs(point.inductance_h * 1e9 / measured - 1.0) <= 0.06);
      CHECK(off(point.inductance_h * 1e9, predicted) <= 1e-3);
      continue;
    }
    if (model.find("true helix") != std::string::npos) continue;  // another method's result
    const bool thin = model.find("thin rings") != std::string::npos,
               low = model.find("low-frequency") != std::string::npos;
    const double f = resonance_hz(winding, Grounded::neither, {low ? CurrentModel::even : CurrentModel::surface, 0},
                                  thin ? ChargeModel::thin : ChargeModel::round, measured * 1e6) *
                     1e-6;
    // The other implementation ended the part turn in its own way.
    CHECK(off(f, predicted) <= 0.01);
    if (!thin && !low) {
      const bool touching = rows.number(i, "d_over_p") > 0.6;
      (touching ? close : spaced) += 1;
      CHECK(std::abs(f / measured - 1.0) <= (touching ? 0.10 : 0.04));
    }
    if (!low && rows.number(i, "d_over_p") < 0.6) CHECK(std::abs(f / measured - 1.0) <= 0.04);
  }
  CHECK(close == 1);
  CHECK(spaced == 1);
  CHECK(small == 4);
}

TEST_CASE("nineteen measured small air coils are met within 11.6 percent and fifteen of them within 6.1") {
  // Leads are in the measurement; how well the turns were counted is not known. The limits were set after the errors
  // were seen: they are what the help says.
  const Table rows = coil_reference("small_air_coils.csv");
  REQUIRE(rows.rows.size() == 19);
  int near = 0;
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    const Winding winding =
        plain_winding(rows.number(i, "turns"), (rows.number(i, "shank_mm") + 0.65) * 1e-3, 0.65e-3, 0.6e-3);
    const double error =
        analyse(winding, whole(winding), 13e6).inductance_h * 1e9 / rows.number(i, "inductance_nh") - 1.0;
    INFO("row " << i << " off by " << error);
    CHECK(std::abs(error) <= 0.116);
    near += std::abs(error) <= 0.061 ? 1 : 0;
  }
  CHECK(near == 15);
}

TEST_CASE("the published self-capacitance stands beside the model") {
  // Reported, not a check of either: the table is empirical, its coils stood on something, and below l/D 0.4 it holds
  // leads. Asserted is only that the two do not differ by more than a factor that would change a design.
  std::string report;
  for (const double ratio : {0.5, 1.0, 2.0, 4.0}) {
    const double n = 30.0, d = 0.05, pitch = ratio * d / n;
    Winding winding = plain_winding(n, d, pitch, 0.5 * pitch);
    const CoilModel model = coil_model(winding);
    const TurnSolution turns = solve_turns(model, 7e6);
    const CoilPoint point = analyse(model, turns, whole(winding));
    const double c = 1.0 / (point.inductance_h * std::pow(two_pi * point.self_resonance_hz, 2));
    const double table = medhurst_capacitance_f(d, ratio);
    report += fmt::format("l/D {}: model {:.3f} pF, table {:.3f} pF\n", ratio, c * 1e12, table * 1e12);
    CHECK(table / c > 0.8);
    CHECK(table / c < 1.6);
  }
  WARN(report);
}
