#include <cmath>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/coil/design.hpp>

#include "reference.hpp"

using namespace stile;
using namespace stile::coil;
using namespace stile::coil::test;

namespace {

/// A whip of 2.4 m as a lossy open line of 300 ohm: the shape of the thing, not a measurement.
BandTarget whip_band(const std::string& name, double frequency_hz) {
  const double electrical = two_pi * frequency_hz / speed_of_light_m_s * 2.4;
  return {name,
          frequency_hz,
          {8.0 + 10.0 * electrical * electrical, -300.0 / std::tan(electrical)},
          0.0,
          300.0 * two_pi * frequency_hz / speed_of_light_m_s / std::pow(std::sin(electrical), 2)};
}

DesignRequest request(double step) {
  DesignRequest r;
  r.winding = plain_winding(1, 0.05, 0.002, 0.0012);
  r.bands = {whip_band("60 m", 5.36e6), whip_band("40 m", 7.1e6), whip_band("30 m", 10.12e6),
             whip_band("20 m", 14.2e6)};
  r.tap_step_turns = step;
  r.contact_ohm = 0.05;
  r.switch_ohm = 0.02;
  r.lead_inductance_h = 5e-8;
  return r;
}

}  // namespace

TEST_CASE("every band is brought to the tap nearest to resonance") {
  const DesignRequest r = request(0.25);
  const CoilDesign d = design_coil(r);
  REQUIRE(d.status == DesignStatus::found);
  REQUIRE(d.bands.size() == 4);
  const CoilModel model = coil_model(d.winding);
  for (const BandDesign& b : d.bands) {
    INFO(b.target.name);
    REQUIRE(b.chosen().reached);
    const TurnSolution turns = solve_turns(model, b.target.frequency_hz);
    for (const TapChoice* c : {&b.open, &b.shorted}) {
      // The input again by another way: the load as part of the measured circuit, tap by tap.
      const auto input = [&](double tap) {
        std::vector<Strap> straps;
        if (c->unused == Unused::shorted && tap < d.winding.sections.front().turns) {
          straps.push_back({{0, tap}, {0, d.winding.sections.front().turns}, r.switch_ohm});
        }
        const SquareMatrix<cdouble> z = place_impedance_ohm(model, turns, {{0, 0.0}, {0, tap}}, std::nullopt, straps);
        const cdouble lead{r.contact_ohm, two_pi * b.target.frequency_hz * r.lead_inductance_h};
        return z(0, 0) - z(0, 1) * z(1, 0) / (z(1, 1) + b.target.load_ohm) + lead;
      };
      CHECK(std::abs(c->input_ohm - input(c->turns)) <= 1e-6 * std::abs(b.target.load_ohm));
      if (!c->reached || c->turns < 0.5) continue;
      CHECK(std::abs(c->residual_ohm) <= std::abs(input(c->turns - 0.25).imag()) + 1e-9);
      if (c->turns + 0.25 <= d.winding.sections.front().turns) {
        CHECK(std::abs(c->residual_ohm) <= std::abs(input(c->turns + 0.25).imag()) + 1e-9);
      }
      // What goes in is what the load takes and what coil and contacts lose.
      CHECK(off(c->coil_ohm + r.contact_ohm, c->input_ohm.real() * (1.0 - c->efficiency)) <= 1e-6);
      CHECK(c->coil_ohm > 0.0);
      CHECK(off(1.0 / c->efficiency_practice.low - 1.0 / c->efficiency,
                0.15 * c->coil_ohm / (c->efficiency * c->input_ohm.real())) <= 1e-6);
      CHECK(c->efficiency_practice.high < c->efficiency);
      CHECK(c->efficiency_practice.low < c->efficiency_practice.high);
    }
    CHECK(b.chosen().efficiency >=
          std::max(b.open.reached ? b.open.efficiency : 0.0, b.shorted.reached ? b.shorted.efficiency : 0.0));
  }
  // Bands whose two ways differ by less than practice adds are called undecided, others not.
  for (const BandDesign& b : d.bands) {
    const double open = 1.0 - b.open.efficiency, shorted = 1.0 - b.shorted.efficiency;
    const bool both = b.open.reached && b.shorted.reached && b.open.turns < d.winding.sections.front().turns;
    if (both) CHECK(b.undecided == (std::abs(open - shorted) < 0.1 * std::max(open, shorted)));
  }
  // One turn less does not reach the lowest band.
  DesignRequest fewer = r;
  fewer.most_turns = d.winding.sections.front().turns - 1.0;
  CHECK(design_coil(fewer).status == DesignStatus::too_few_turns);
  // Far too few, and no capacitor is found either: told, as a trim of 0 alone reads as none needed.
  fewer.most_turns = 3.0;
  const BandDesign lost = design_coil(fewer).bands.front();
  REQUIRE(lost.chosen().residual_ohm < 0.0);
  REQUIRE(lost.chosen().shunt_trim_f == 0.0);
  std::string all;
  for (const std::string& warning : lost.warnings) all += warning;
  CHECK(all.find("no capacitor of 100 fF to 10 nF across the coil was found") != std::string::npos);
  // The range is what was tried, of what can be had.
  const auto told = [&](double least_f, double most_f, const std::string& words) {
    fewer.capacitance_f = {least_f, most_f};
    const std::vector<std::string> warnings = design_coil(fewer).bands.front().warnings;
    return std::any_of(warnings.begin(), warnings.end(),
                       [&](const std::string& w) { return w.find(words) != std::string::npos; });
  };
  CHECK(told(2e-12, 1e-9, "no capacitor of 2 pF to 1 nF across the coil was found"));
  CHECK(told(2e-12, 20e-9, "no capacitor of 2 pF to 10 nF across the coil was found"));
  CHECK(told(20e-9, 30e-9, "cannot be had up to 10 nF"));
}

TEST_CASE("the turns found are the fewest that reach resonance, whatever former and band") {
  for (const double diameter_m : {0.025, 0.06}) {
    for (const BandTarget& band :
         {BandTarget{"160 m", 1.85e6, {9.0, -500.0}, 0.0, 0.0}, BandTarget{"40 m", 7.1e6, {20.0, -900.0}, 0.0, 0.0},
          BandTarget{"20 m", 14.2e6, {30.0, -210.0}, 0.0, 0.0}}) {
      DesignRequest r;
      r.winding = plain_winding(1, diameter_m, 0.002, 0.0009);
      r.bands = {band};
      r.most_turns = 400.0;
      const CoilDesign d = design_coil(r);
      INFO(band.name << ", " << diameter_m << " m");
      REQUIRE(d.status == DesignStatus::found);
      const auto left_ohm = [&](double turns) {
        const CoilModel model = coil_model(plain_winding(turns, diameter_m, 0.002, 0.0009));
        const SquareMatrix<cdouble> z =
            place_impedance_ohm(model, solve_turns(model, band.frequency_hz), {{0, 0.0}, {0, turns}}, std::nullopt);
        return (z(0, 0) - z(0, 1) * z(1, 0) / (z(1, 1) + band.load_ohm)).imag();
      };
      const double turns = d.winding.sections.front().turns;
      CHECK(left_ohm(turns) >= 0.0);
      CHECK(left_ohm(turns - 1.0) < 0.0);
    }
  }
}

TEST_CASE("trims remove the residual reactance") {
  const DesignRequest r = request(1.0);
  const CoilDesign d = design_coil(r);
  const CoilModel model = coil_model(d.winding);
  int series = 0, across = 0;
  for (const BandDesign& b : d.bands) {
    for (const TapChoice* c : {&b.open, &b.shorted}) {
      if (!c->reached || c->turns == 0.0) continue;
      const double omega = two_pi * b.target.frequency_hz;
      INFO(b.target.name << " " << static_cast<int>(c->unused));
      CHECK(off(c->whip_trim_m * b.target.whip_slope_ohm_per_m, -c->residual_ohm) <= 1e-12);
      if (c->residual_ohm > 0.0) {
        ++series;
        CHECK(off(1.0 / (omega * c->series_trim_f), c->residual_ohm) <= 1e-12);
        CHECK(c->shunt_trim_f == 0.0);
      } else {
        ++across;
        CHECK(c->series_trim_f == 0.0);
        // The capacitor across the coil, as an admittance between base and tap of the open two-port.
        std::vector<Strap> straps;
        const double all = d.winding.sections.front().turns;
        if (c->unused == Unused::shorted && c->turns < all) straps.push_back({{0, c->turns}, {0, all}, r.switch_ohm});
        const SquareMatrix<cdouble> z = place_impedance_ohm(model, solve_turns(model, b.target.frequency_hz),
                                                            {{0, 0.0}, {0, c->turns}}, std::nullopt, straps);
        const cdouble det = z(0, 0) * z(1, 1) - z(0, 1) * z(1, 0), yc{0.0, omega * c->shunt_trim_f};
        const cdouble y11 = z(1, 1) / det + yc, y12 = -z(0, 1) / det - yc,
                      y22 = z(0, 0) / det + yc + 1.0 / b.target.load_ohm;
        const cdouble input = 1.0 / (y11 - y12 * y12 / y22) + cdouble{0.0, omega * r.lead_inductance_h};
        CHECK(std::abs(input.imag()) <= 1e-4 * std::abs(b.target.load_ohm.imag()));
      }
    }
  }
  CHECK(series > 0);
  CHECK(across > 0);
}

TEST_CASE("the loss of a tap is its efficiency in dB, more in practice") {
  TapChoice choice;
  CHECK(tap_loss_db(choice) == std::numeric_limits<double>::infinity());
  choice.efficiency = 0.5;
  choice.efficiency_practice = {0.1, 0.25};
  CHECK(std::abs(tap_loss_db(choice) - 3.010299956639812) <= 1e-14);  // 10 log10 2
  CHECK(std::abs(tap_loss_db_practice(choice).low - 6.020599913279624) <= 1e-14);
  CHECK(std::abs(tap_loss_db_practice(choice).high - 10.0) <= 1e-14);
  // Of a design: the coil's loss 5 % and 15 % higher.
  const CoilDesign d = design_coil(request(1.0));
  double worst_db = 0.0;
  for (const BandDesign& b : d.bands) {
    const TapChoice& t = b.chosen();
    const double input = t.input_ohm.real(), arrives = t.efficiency * input;
    CHECK(std::abs(tap_loss_db_practice(t).low - 10.0 * std::log10((input + 0.05 * t.coil_ohm) / arrives)) <= 1e-12);
    CHECK(std::abs(tap_loss_db_practice(t).high - 10.0 * std::log10((input + 0.15 * t.coil_ohm) / arrives)) <= 1e-12);
    worst_db = std::max(worst_db, tap_loss_db(t));
  }
  CHECK(d.worst_loss_db == worst_db);
}

TEST_CASE("steps to the transmitter match and pay for it") {
  const DesignRequest r = request(0.25);
  const CoilDesign d = design_coil(r);
  for (const BandDesign& b : d.bands) {
    REQUIRE(b.steps.size() == 4);
    for (const ResistanceStep& s : b.steps) {
      INFO(b.target.name << " " << step_name(s.kind));
      if (!s.possible) continue;
      CHECK(s.swr >= 1.0);
      CHECK(s.loss_db > 0.0);
      CHECK(s.loss_db < s.loss_db_practice.low);
      CHECK(s.loss_db_practice.low < s.loss_db_practice.high);
      CHECK(s.loss_db_practice.high < 6.0);
      CHECK((s.bandwidth_hz > 0.0) == (s.swr <= 2.0));
      if (s.kind != StepKind::none) CHECK(s.swr < b.steps.front().swr);
      if (s.kind == StepKind::none) {  // the tap itself
        CHECK(std::abs(s.loss_db - tap_loss_db(b.chosen())) <= 1e-9);
        CHECK(std::abs(s.loss_db_practice.low - tap_loss_db_practice(b.chosen()).low) <= 1e-9);
        CHECK(std::abs(s.loss_db_practice.high - tap_loss_db_practice(b.chosen()).high) <= 1e-9);
      }
      if (s.kind == StepKind::shunt_coil) {
        // The part's own loss: power into the base over power into the coil, for its Q.
        CHECK(s.inductance_h > 0.0);
        CHECK(std::abs(s.input_ohm.imag()) <= 1e-6 * s.input_ohm.real());
        CHECK(s.turns <= b.chosen().turns);  // load left capacitive
      }
      if (s.kind == StepKind::shunt_capacitor) {
        CHECK(s.capacitance_f > 0.0);
        CHECK(s.turns >= b.chosen().turns);  // load left inductive
      }
      if (s.kind == StepKind::autotransformer) {
        CHECK(s.feed_turns > 0.0);
        CHECK(s.feed_turns < s.turns);
      }
    }
  }
  // A shunt coil of less Q loses more.
  DesignRequest poor = r;
  poor.shunt_coil_q = 20.0;
  CHECK(design_coil(poor).bands.front().steps[1].loss_db > d.bands.front().steps[1].loss_db);
}

TEST_CASE("bandwidth of the bare coil follows from its slope") {
  // Transmitter of the remaining resistance: SWR 2 at |X| = R/sqrt(2), so the width is sqrt(2) R/(dX/df).
  DesignRequest r = request(0.25);
  r.bands = {whip_band("40 m", 7.1e6)};
  r.transmitter_ohm = design_coil(r).bands.front().chosen().input_ohm.real();
  const CoilDesign d = design_coil(r);
  const BandDesign& b = d.bands.front();
  const CoilModel model = coil_model(d.winding);
  const auto reactance = [&](double f) {
    const TurnSolution turns = solve_turns(model, f);
    const SquareMatrix<cdouble> z = place_impedance_ohm(model, turns, {{0, 0.0}, {0, b.chosen().turns}}, std::nullopt);
    const cdouble load{b.target.load_ohm.real(), b.target.load_ohm.imag() * (2.0 - f / 7.1e6)};
    return (z(0, 0) - z(0, 1) * z(1, 0) / (z(1, 1) + load)).imag() + two_pi * f * r.lead_inductance_h;
  };
  const double slope = (reactance(7.11e6) - reactance(7.09e6)) / 2e4;
  REQUIRE(b.better == Unused::open);
  CHECK(off(b.steps.front().bandwidth_hz, std::sqrt(2.0) * r.transmitter_ohm / slope) <= 0.03);
}

TEST_CASE("a part across the base is what the step says of it, to its bandwidth") {
  // Second route: the coil's two-port between base and tap from place_impedance_ohm, straight between two neighbouring
  // frequencies, the load with its slope, the part by its own law: w L (j + 1/Q), and w C (j + 1/Q) across.
  DesignRequest r = request(0.25);
  r.shunt_coil_q = 8.0;
  r.shunt_capacitor_q = 30.0;
  for (BandTarget& b : r.bands) b.load_ohm = {3.0 * b.load_ohm.real(), b.load_ohm.imag()};
  const CoilDesign d = design_coil(r);
  const CoilModel model = coil_model(d.winding);
  const double all = d.winding.sections.front().turns;
  int coils = 0, capacitors = 0;
  for (const BandDesign& b : d.bands) {
    const double f0 = b.target.frequency_hz, beside_hz = 1e-4 * f0;
    const TurnSolution turns = solve_turns(model, f0);
    for (const ResistanceStep& s : b.steps) {
      if (!s.possible || s.kind == StepKind::autotransformer || s.kind == StepKind::none) continue;
      INFO(b.target.name << " " << step_name(s.kind));
      std::vector<Strap> straps;
      if (s.unused == Unused::shorted && s.turns < all) straps.push_back({{0, s.turns}, {0, all}, r.switch_ohm});
      const auto ports = [&](const TurnSolution& at) {
        return place_impedance_ohm(model, at, {{0, 0.0}, {0, s.turns}}, std::nullopt, straps);
      };
      const SquareMatrix<cdouble> here = ports(turns), beside = ports(shifted(turns, f0 + beside_hz));
      const auto input = [&](double f) {
        const double t = (f - f0) / beside_hz, w = two_pi * f;
        const auto z = [&](std::size_t i, std::size_t j) { return here(i, j) + t * (beside(i, j) - here(i, j)); };
        const cdouble load = b.target.load_ohm - cdouble(0.0, (f - f0) * b.target.load_ohm.imag() / f0);
        const cdouble coil =
            z(0, 0) - z(0, 1) * z(1, 0) / (z(1, 1) + load) + cdouble(r.contact_ohm, w * r.lead_inductance_h);
        const cdouble part = s.kind == StepKind::shunt_coil
                                 ? 1.0 / (w * s.inductance_h * cdouble(1.0 / r.shunt_coil_q, 1.0))
                                 : w * s.capacitance_f * cdouble(1.0 / r.shunt_capacitor_q, 1.0);
        return 1.0 / (1.0 / coil + part);
      };
      ++(s.kind == StepKind::shunt_coil ? coils : capacitors);
      CHECK(std::abs(s.input_ohm - input(f0)) <= 1e-9 * std::abs(s.input_ohm));
      const auto swr = [&](double f) {
        const double rho = std::abs((input(f) - r.transmitter_ohm) / (input(f) + r.transmitter_ohm));
        return (1.0 + rho) / (1.0 - rho);
      };
      CHECK(off(s.swr, swr(f0)) <= 1e-9);
      // Of 1 A into the coil: what the load takes, what the coil loses, and what the part across the base takes beside.
      const double delivered = std::norm(here(1, 0) / (here(1, 1) + b.target.load_ohm)) * b.target.load_ohm.real();
      const cdouble into = here(0, 0) - here(0, 1) * here(1, 0) / (here(1, 1) + b.target.load_ohm) +
                           cdouble(r.contact_ohm, two_pi * f0 * r.lead_inductance_h);
      const double conductance = (1.0 / into).real(), whole = (1.0 / input(f0)).real();
      const double ratio = into.real() / delivered * whole / conductance;
      const double coil_share = (into.real() - r.contact_ohm - delivered) / delivered;
      CHECK(std::abs(s.loss_db - 10.0 * std::log10(ratio)) <= 1e-9);
      CHECK(std::abs(s.loss_db_practice.low - 10.0 * std::log10(ratio + 0.05 * coil_share)) <= 1e-9);
      CHECK(std::abs(s.loss_db_practice.high - 10.0 * std::log10(ratio + 0.15 * coil_share)) <= 1e-9);
      if (s.swr > 2.0) continue;
      double width_hz = 0.0;
      for (const double side : {-1.0, 1.0}) {
        double inside = 0.0, outside = 1e-4 * f0;
        while (swr(f0 + side * outside) < 2.0 && outside < 0.3 * f0) inside = outside, outside *= 1.05;
        for (int halving = 0; halving < 50; ++halving) {
          const double middle = 0.5 * (inside + outside);
          (swr(f0 + side * middle) < 2.0 ? inside : outside) = middle;
        }
        width_hz += inside;
      }
      CHECK(off(s.bandwidth_hz, width_hz) <= 1e-6);
    }
  }
  CHECK(coils > 0);
  CHECK(capacitors > 0);
}

TEST_CASE("nothing is proposed that cannot be had") {
  const DesignRequest r = request(1.0);
  const CoilDesign free = design_coil(r);
  int coils = 0, capacitors = 0, trims = 0;
  for (const BandDesign& b : free.bands) {
    for (const ResistanceStep& s : b.steps) {
      if (!s.possible || (s.kind != StepKind::shunt_coil && s.kind != StepKind::shunt_capacitor)) continue;
      const double value = s.kind == StepKind::shunt_coil ? s.inductance_h : s.capacitance_f;
      for (const Range& had : {Range{1.1 * value, 1e3}, Range{0.0, 0.9 * value}}) {
        DesignRequest scarce = r;
        scarce.bands = {b.target};
        scarce.winding = free.winding;
        scarce.turns_stated = true;
        (s.kind == StepKind::shunt_coil ? scarce.inductance_h : scarce.capacitance_f) = had;
        ++(s.kind == StepKind::shunt_coil ? coils : capacitors);
        const CoilDesign limited = design_coil(scarce);
        for (const ResistanceStep& other : limited.bands.front().steps) {
          if (!other.possible || other.kind != s.kind) continue;
          const double taken = s.kind == StepKind::shunt_coil ? other.inductance_h : other.capacitance_f;
          INFO(b.target.name << " " << step_name(s.kind) << ": " << taken);
          CHECK((taken >= had.low && taken <= had.high));
        }
      }
    }
    const double trim_f = b.chosen().series_trim_f;
    if (trim_f == 0.0) continue;
    ++trims;
    for (const Range& had : {Range{1.1 * trim_f, 1.0}, Range{0.0, 0.9 * trim_f}}) {
      DesignRequest scarce = r;
      scarce.bands = {b.target};
      scarce.winding = free.winding;
      scarce.turns_stated = true;
      scarce.capacitance_f = had;
      CHECK(design_coil(scarce).bands.front().chosen().series_trim_f == 0.0);
    }
  }
  CHECK((coils > 0 && capacitors > 0 && trims > 0));
}

TEST_CASE("a residual is told from half of the resistance on") {
  int told = 0, quiet = 0;
  for (const double step : {1.0, 0.5, 0.25}) {
    for (const BandDesign& b : design_coil(request(step)).bands) {
      const bool much = std::abs(b.chosen().residual_ohm) > 0.5 * b.chosen().input_ohm.real();
      INFO(b.target.name << " at steps of " << step << ": " << b.chosen().residual_ohm);
      REQUIRE(b.chosen().reached);
      CHECK(!b.residual_warning.empty() == much);
      ++(much ? told : quiet);
    }
  }
  CHECK((told > 0 && quiet > 0));
}

TEST_CASE("given reactances without a load are met too") {
  DesignRequest r = request(1.0);
  r.bands = {{"low", 3.6e6, {0.0, -900.0}, 0.0, 0.0}, {"high", 14.2e6, {0.0, -200.0}, 0.0, 0.0}};
  const CoilDesign d = design_coil(r);
  REQUIRE(d.status == DesignStatus::found);
  for (const BandDesign& b : d.bands) {
    INFO(b.target.name);
    CHECK(b.chosen().reached);
    CHECK(b.chosen().efficiency == 0.0);
    CHECK(std::abs(b.chosen().residual_ohm) < 60.0);
  }
}

TEST_CASE("a search keeps its limits and finds less loss than its worst member") {
  DesignRequest r = request(1.0);
  r.bands = {whip_band("40 m", 7.1e6), whip_band("20 m", 14.2e6)};
  const DesignSpace space{{0.03, 0.05}, {0.0008, 0.0015}, {0.5, 0.75}, 0.12, 0.2};
  const DesignSearch s = search_design(r, space);
  REQUIRE(s.status == DesignStatus::found);
  CHECK(s.tried == 8);
  CHECK(winding_length_m(s.best.winding) <= 0.12);
  CHECK(wire_mass_kg(s.best.winding) <= 0.2);
  for (const double former_m : space.former_diameter_m) {
    for (const double wire_m : space.wire_diameter_m) {
      DesignRequest one = r;
      one.winding = plain_winding(1, former_m + wire_m, wire_m / 0.5, wire_m);
      one.most_turns = std::floor(0.12 / (wire_m / 0.5));
      const CoilDesign d = design_coil(one);
      if (d.status == DesignStatus::found && wire_mass_kg(d.winding) <= 0.2)
        CHECK(s.best.worst_loss_db <= d.worst_loss_db);
    }
  }
  // Of copper: a former and one wire make the turn's diameter, and the mass holds the choice back.
  const double turn_m = s.best.winding.diameter_m, best_wire_m = s.best.winding.wire.diameter_m;
  CHECK(std::any_of(space.former_diameter_m.begin(), space.former_diameter_m.end(),
                    [&](double former_m) { return std::abs(former_m + best_wire_m - turn_m) <= 1e-12; }));
  const double ratio = best_wire_m / s.best.winding.sections.front().pitch_m;
  CHECK((std::abs(ratio - 0.5) <= 1e-12 || std::abs(ratio - 0.75) <= 1e-12));
  DesignSpace light = space;
  light.heaviest_kg = 0.99 * wire_mass_kg(s.best.winding);
  const DesignSearch lighter = search_design(r, light);
  if (lighter.status == DesignStatus::found) CHECK(wire_mass_kg(lighter.best.winding) <= light.heaviest_kg);
  CHECK(lighter.refused > s.refused);
  DesignSpace tiny = space;
  tiny.longest_m = 0.004;
  const DesignSearch none = search_design(r, tiny);
  CHECK(none.status == DesignStatus::too_few_turns);
  CHECK(none.refused == none.tried);
}

TEST_CASE("a design's defaults are those documented and its steps have their words") {
  const DesignRequest r;
  CHECK(r.tap_step_turns == 1.0);
  CHECK(r.most_turns == 150.0);
  CHECK(r.switch_ohm == 0.0);
  CHECK(r.contact_ohm == 0.0);
  CHECK(r.lead_inductance_h == 0.0);
  CHECK(r.transmitter_ohm == 50.0);
  CHECK(r.shunt_coil_q == 200.0);
  CHECK(r.shunt_capacitor_q == 1000.0);
  CHECK_FALSE(r.turns_stated);
  CHECK(step_name(StepKind::none) == "none");
  CHECK(step_name(StepKind::shunt_coil) == "shunt coil");
  CHECK(step_name(StepKind::shunt_capacitor) == "shunt capacitor");
  CHECK(step_name(StepKind::autotransformer) == "autotransformer");
}

TEST_CASE("a design refuses what it cannot use") {
  CHECK(CoilDesign{}.status == DesignStatus::not_run);
  DesignRequest r = request(1.0);
  r.tap_step_turns = 0.3;
  CHECK_THROWS_AS(design_coil(r), DomainError);
  r = request(1.0);
  r.bands.clear();
  CHECK_THROWS_AS(design_coil(r), DomainError);
  r = request(1.0);
  r.bands.front().load_ohm = {-1.0, -500.0};
  CHECK_THROWS_AS(design_coil(r), DomainError);
  r = request(1.0);
  r.winding.sections.front().pitch_m = 0.001;
  CHECK_THROWS_AS(design_coil(r), DomainError);
  r = request(1.0);
  CHECK_THROWS_AS(search_design(r, {{}, {0.001}, {0.5}, 0.1, 0.1}), DomainError);
}

TEST_CASE("the best step holds the SWR limit at the least loss and otherwise has the lowest SWR") {
  BandDesign band;
  const auto step = [&](StepKind kind, double swr, double loss_db, bool possible = true) {
    ResistanceStep s;
    s.kind = kind;
    s.swr = swr;
    s.loss_db = loss_db;
    s.possible = possible;
    band.steps.push_back(s);
  };
  step(StepKind::none, 3.0, 1.0);
  step(StepKind::shunt_coil, 1.5, 2.0);
  step(StepKind::shunt_capacitor, 1.9, 1.8);
  step(StepKind::autotransformer, 1.0, 0.1, false);
  CHECK(best_step(band, 2.0).kind == StepKind::shunt_capacitor);
  CHECK(best_step(band, 1.2).kind == StepKind::shunt_coil);
  CHECK(best_step(band, 5.0).kind == StepKind::none);
  CHECK(best_step(band, 2.0, StepKind::none).kind == StepKind::none);
  CHECK(best_step(band, 2.0, StepKind::autotransformer).kind == StepKind::none);  // not possible: the first
  CHECK_THROWS_AS(best_step(BandDesign{}, 2.0), DomainError);
}
