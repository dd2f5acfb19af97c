// A coil with its start at ground, fed at a tap, as an arrangement.

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include <stile/coil/autotransformer.hpp>
#include <stile/network/one_port.hpp>
#include <stile/plan/coil_prescription.hpp>
#include <stile/plan/detail/fed_coil.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/wound.hpp>

#include "plan/stations.hpp"

using namespace stile;
using namespace stile::plan;
using namespace stile::plan::test;

namespace {

station::Arrangement fed(const std::string& name, const station::SwitchedCoil& coil, station::Trim trim) {
  station::Arrangement a = arrangement(name, station::ArrangementKind::autotransformer);
  a.coil = coil;
  a.trim = trim;
  return a;
}

station::SwitchedCoil coil_of(double turns) {
  station::SwitchedCoil c = small_coil(turns);
  c.trimmer_f = 12e-12;
  c.contact_ohm = 0.05;
  c.lead_inductance_h = 50e-9;
  return c;
}

/// Invented: a whip in two conditions.
station::Station walked(station::Trim trim) {
  station::Station s = bare_station({15.0, -900.0});
  set_loads(s, {modelled("dry", {2.0, 7.1e6, 25e-12, 0.0, 12.0, 0.0, 7.1e6}),
                modelled("wet", {2.0, 7.1e6, 28e-12, 0.0, 25.0, 0.0, 7.1e6})});
  s.arrangements = {fed("fed", coil_of(32.0), trim)};
  return s;
}

double relative(cdouble value, cdouble expected) { return std::abs(value - expected) / std::abs(expected); }

}  // namespace

TEST_CASE("a long search of taps says how long it will take before it begins") {
  station::Station s = bare_station({20.0, -300.0});
  station::SwitchedCoil coil = small_coil(60.0);
  s.arrangements = {arrangement("fed", station::ArrangementKind::autotransformer)};
  const auto told = [&](double step, double trimmer_f) {
    coil.tap_step_turns = step, coil.trimmer_f = trimmer_f;
    coil.taps = {};
    s.arrangements[0].coil = coil;
    std::string all;
    // The line comes first: nothing more is waited for.
    struct Enough {};
    try {
      make_plan(
          s,
          [&](const std::string& line) {
            all += line;
            throw Enough{};
          },
          1);
    } catch (const Enough&) {
    }
    return all;
  };
  CHECK(told(1.0, 0.0) == "band: fed, 1 conditions");
  // 240 taps: 240 x 240 pairs with dead turns open, all but one tap at the end twice; 25 places of the trimmer: 2.9
  // million.
  CHECK(told(0.25, 20e-12) == "band: fed, 1 conditions: 2.9 million positions of its taps and trimmer, about 2 s");
}

TEST_CASE("the taps of an autotransformer have the impedances of the ring model") {
  // Second route: the two-port of the coil room, its resistance 10 % higher, with trimmer, contacts and lead as a
  // ladder.
  station::SwitchedCoil c = coil_of(24.0);
  c.switch_ohm = 0.02;
  const station::Arrangement a = fed("fed", c, station::Trim::once);
  const station::Band band{"band", 6.9e6, 7.3e6, 7.0e6, 7.2e6, 7.1e6};
  const coil::CoilModel model = coil::coil_model(station::wound(c, c.turns));
  const plan::detail::CoilTaps taps(c, model, band, {});
  const plan::detail::FedCoil coil(a, taps, band);
  const double omega = 2.0 * std::acos(-1.0) * 7.1e6;
  for (const auto& [feed, antenna] : {std::pair(2U, 20U), std::pair(9U, 24U), std::pair(12U, 5U), std::pair(7U, 7U)}) {
    for (const std::size_t shorted : {0U, 1U}) {
      const plan::detail::FedPosition position{feed, antenna, shorted != 0 ? coil::Unused::shorted : coil::Unused::open,
                                               12};
      network::ImpedanceMatrix z = coil::autotransformer(
          model, coil::solve_turns(model, 7.1e6),
          {static_cast<double>(feed), static_cast<double>(antenna), position.unused, c.switch_ohm});
      for (cdouble* entry : {&z.z11, &z.z12, &z.z21, &z.z22}) *entry = {1.1 * entry->real(), entry->imag()};
      const cdouble whip{14.0, -900.0};
      const cdouble across = network::impedance(network::Capacitor{6e-12, a.parts.stock.capacitor_loss}, 7.1e6);
      const cdouble branch = whip + cdouble{0.05, omega * 50e-9}, loaded = branch * across / (branch + across);
      const cdouble expected = z.z11 - z.z12 * z.z21 / (z.z22 + loaded) + 0.05;
      const network::ImpedanceMatrix whole = coil.impedances_ohm(position, 7.1e6, {});
      INFO("fed at " << feed << ", antenna at " << antenna);
      CHECK(relative(whole.z11 - whole.z12 * whole.z21 / (whole.z22 + whip), expected) <= 1e-8);
      const network::Evaluation e = network::evaluate({coil.elements(position, 7.1e6, {})}, {50.0, 5.0}, 7.1e6, whip);
      CHECK(relative(e.z_input_ohm, expected) <= 1e-8);
    }
  }
}

TEST_CASE("an autotransformer's taps are the best of all pairs") {
  // Second route: every pair as a stated tap of its own, evaluated as a whole ladder.
  const station::Trim trim = GENERATE(station::Trim::once, station::Trim::tap, station::Trim::tap_and_trimmer);
  station::Station s = walked(trim);
  s.bands.front() = {"band", 7.0e6, 7.2e6, 7.08e6, 7.12e6, 7.1e6};
  s.arrangements.front().coil.turns = 28.0;
  s.arrangements.front().cable_before = line("lead", "RG-174", 0.8);
  s.arrangements.front().cable_after = line("riser", "RG-58", 0.3);
  s.transmitter.foldback = {{1.5, 5.0}, {3.0, 1.0}};
  const ArrangementResult found = make_plan(s).bands[0].arrangements[0];
  REQUIRE(found.proof);
  CHECK(found.proof->proven);
  CHECK(std::abs(found.proof->bound_db - found.counted_db) <= 1e-9);

  const station::Arrangement& a = s.arrangements.front();
  const coil::CoilModel model = coil::coil_model(station::wound(a.coil, a.coil.turns));
  const std::vector<double> f{7.08e6, 7.09e6, 7.1e6, 7.11e6, 7.12e6};
  const plan::detail::CoilTaps taps(a.coil, model, s.bands.front(), f);
  const plan::detail::FedCoil coil(a, taps, s.bands.front());
  std::map<std::array<std::size_t, 4>, std::array<std::pair<bool, double>, 2>> best;  // by what stays
  for (const plan::detail::FedPosition& p : coil.positions()) {
    const std::size_t none = 0;
    const std::array<std::size_t, 4> key{p.feed, p.unused == coil::Unused::open ? none : 1,
                                         trim == station::Trim::once ? p.antenna : none,
                                         trim == station::Trim::tap_and_trimmer ? none : p.trimmer};
    auto [of, fresh] = best.try_emplace(key);
    for (std::size_t n = 0; n < 2; ++n) {
      std::pair<bool, double> worst{false, -network::infinite};
      for (const double at_hz : f) {
        network::Ladder ladder{{{"", network::Place::cascade, a.cable_before->line, {}}}};
        for (network::Element& e : coil.elements(p, at_hz, {})) ladder.elements.push_back(e);
        ladder.elements.push_back({"", network::Place::cascade, a.cable_after->line, {}});
        const load::Load& load = s.antennas[0].loads[n].load;
        const network::Evaluation e =
            network::evaluate(ladder, s.transmitter.source, at_hz, load::load_impedance(load, at_hz));
        const double w = station::power_at_swr(s.transmitter, e.swr) * e.power.delivered_w / e.power.available_w *
                         load::load_shares(load, at_hz)->radiated;
        worst.first = worst.first || e.swr > s.transmitter.swr_limit;
        worst.second = std::max(worst.second, 10.0 * std::log10(5.0 / w));
      }
      if (fresh || worst < of->second[n]) of->second[n] = worst;
    }
  }
  std::pair<bool, double> least{true, network::infinite};
  for (const auto& [key, each] : best)
    least = std::min(least, std::pair{each[0].first || each[1].first, std::max(each[0].second, each[1].second)});
  CHECK(std::abs(found.counted_db - least.second) <= 1e-8);
  CHECK(found.ok == !least.first);
  const std::vector<ConditionResult>& c = found.conditions;
  CHECK(c[0].setting.feed_turns == c[1].setting.feed_turns);  // the transmitter's tap is chosen once
  CHECK((trim != station::Trim::once || c[0].setting.tap_turns == c[1].setting.tap_turns));
}

TEST_CASE("an autotransformer matches a whip by hand and its budget closes") {
  station::Station s = walked(station::Trim::tap_and_trimmer);
  s.arrangements.front().coil.tap_step_turns = 0.5;
  const ArrangementResult a = make_plan(s).bands[0].arrangements[0];
  CHECK(a.ok);
  for (const ConditionResult& c : a.conditions) {
    CHECK(c.setting.feed_turns < c.setting.tap_turns);
    double sum = 0.0;
    int of_the_match = 0;
    for (const BudgetItem& item : c.budget) sum += item.power_w, of_the_match += item.spent == Spent::match;
    CHECK(std::abs(sum / 5.0 - 1.0) <= 1e-9);
    CHECK(of_the_match == 1);  // its parts are one thing
    CHECK(describe(c).find("coil (fed at turn ") == 0);
  }
}

TEST_CASE("stated taps of an autotransformer are kept") {
  station::Station s = walked(station::Trim::once);
  s.arrangements.front().coil.taps = {{"band", 26.0, coil::Unused::shorted, 3.0}};
  const Setting both = make_plan(s).bands[0].arrangements[0].conditions[0].setting;
  CHECK(both.tap_turns == 26.0);
  CHECK(both.feed_turns == 3.0);
  CHECK(both.unused == coil::Unused::shorted);
  s.arrangements.front().coil.taps = {{"band", 26.0, {}}};
  const Setting one = make_plan(s).bands[0].arrangements[0].conditions[0].setting;
  CHECK(one.tap_turns == 26.0);
  CHECK(one.feed_turns.value() < 26.0);
}

TEST_CASE("the prescription of an autotransformer names both taps and the turns' voltage") {
  const station::Station s = walked(station::Trim::tap_and_trimmer);
  const Plan plan = make_plan(s);
  const CoilPrescription p = coil_prescription(s, plan, "loading", "", {}, {});
  REQUIRE(p.settings.size() == 2);
  for (std::size_t n = 0; n < 2; ++n) {
    const CoilSetting& setting = p.settings[n];
    const ConditionResult& c = plan.bands[0].arrangements[0].conditions[n];
    CHECK(setting.setting.feed_turns == c.setting.feed_turns);
    CHECK(setting.beside.empty());
    REQUIRE(setting.ratings);
    // The antenna's terminals are at the highest tap but for contact and lead: 2 % of its reactance at most.
    CHECK(setting.setting.tap_turns > setting.setting.feed_turns);
    CHECK(setting.ratings->end_voltage_v_peak >= 0.98 * network::load_voltage_v_peak(c.evaluation));
    for (const double turns : {*setting.setting.tap_turns, *setting.setting.feed_turns})
      CHECK(std::any_of(p.taps.begin(), p.taps.end(), [&](const CoilTap& tap) { return tap.turns == turns; }));
  }
  CHECK(std::any_of(p.taps.begin(), p.taps.end(),
                    [](const CoilTap& tap) { return tap.serves.find("transmitter on band") != std::string::npos; }));
}

TEST_CASE("turns as needed are found for an autotransformer") {
  station::Station s = walked(station::Trim::tap_and_trimmer);
  s.arrangements.front().coil.turns = 0.0;
  const Plan plan = make_plan(s);
  CHECK(plan.bands[0].arrangements[0].ok);
  REQUIRE(plan.windings[0]);
  CHECK(coil::total_turns(*plan.windings[0]) >= *plan.bands[0].arrangements[0].conditions[0].setting.tap_turns);
}
