// A coil that is really wound, as an arrangement.

#include <catch2/catch.hpp>

#include <cmath>

#include <stile/plan/detail/switched_coil.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/wound.hpp>

#include "plan/stations.hpp"

using namespace stile;
using namespace stile::plan;
using namespace stile::plan::test;

namespace {

double relative(cdouble value, cdouble expected) { return std::abs(value / expected - 1.0); }

const ConditionResult& only(const Plan& plan, std::size_t n = 0) { return plan.bands[0].arrangements[n].conditions[0]; }

}  // namespace

TEST_CASE("the coil of an arrangement has at each tap the impedance of the ring model") {
  // Second route: the analysis of that very connection, in the coil room.
  const station::Arrangement a = switched("coil", small_coil(24.0));
  const station::Band band{"band", 6.9e6, 7.3e6, 7.0e6, 7.2e6, 7.1e6};
  const coil::CoilModel model = coil::coil_model(station::wound(a.coil, a.coil.turns));
  CHECK(coil::total_turns(model.winding) == 24.0);
  const plan::detail::CoilTaps taps(a.coil, model, band, {});
  const plan::detail::CoilOnBand coil(a, taps, band);
  REQUIRE(taps.turns().size() == 25);
  for (const double f : {7.0e6, 7.1e6, 7.2e6, 6.95e6}) {
    const coil::TurnSolution turns = coil::shifted(coil::solve_turns(model, 7.1e6), f);
    for (const std::size_t tap : {1U, 9U, 23U, 24U}) {
      for (const coil::Unused unused : {coil::Unused::open, coil::Unused::shorted}) {
        coil::CoilPoint p = coil::analyse(
            model, turns, coil::tapped(model.winding, static_cast<double>(tap), unused, coil::Grounded::from));
        p.z_ohm = {1.1 * p.z_ohm.real(), p.z_ohm.imag()};  // the middle of what practice adds, 5 to 15 %
        INFO("tap " << tap << " at " << f);
        CHECK(relative(taps.impedance_ohm(tap, unused, f), p.z_ohm) <= 1e-8);
        // As a part of a ladder it is that impedance.
        const match::Choice position{std::nullopt, {}, unused == coil::Unused::open ? 0U : 1U, tap, 0};
        CHECK(relative(network::impedance(coil.element(position, f, {})->part, f), p.z_ohm) <= 1e-8);
      }
    }
  }
}

TEST_CASE("contacts leads and trimmer are in the part and Q moves its resistance alone") {
  station::SwitchedCoil c = small_coil(24.0);
  c.contact_ohm = 0.3;
  c.lead_inductance_h = 50e-9;
  c.trimmer_f = 20e-12;
  station::Arrangement a = switched("coil", c);
  const coil::CoilModel model = coil::coil_model(station::wound(a.coil, a.coil.turns));
  const plan::detail::CoilTaps taps(a.coil, model, one_frequency(7.1e6), {7.15e6});
  const plan::detail::CoilOnBand coil(a, taps, one_frequency(7.1e6));
  const double omega = 2.0 * std::acos(-1.0) * 7.1e6, trimmer = 10e-12;
  const match::Choice position{std::nullopt, {}, 0, 20, 12};  // half of 24 steps to 20 pF
  CHECK(std::abs(coil.trimmer_f(position) - trimmer) <= 1e-24);
  const cdouble z = taps.impedance_ohm(20, coil::Unused::open, 7.1e6);
  const cdouble c_ohm = network::impedance(network::Capacitor{trimmer, a.parts.stock.capacitor_loss}, 7.1e6);
  const cdouble expected = z * c_ohm / (z + c_ohm) + cdouble{0.3, omega * 50e-9};
  CHECK(relative(network::impedance(coil.element(position, 7.1e6, {})->part, 7.1e6), expected) <= 1e-9);
  plan::detail::Corner corner;
  corner.q = 0.8;
  const cdouble worse = network::impedance(coil.element(position, 7.1e6, corner)->part, 7.1e6);
  CHECK(std::abs(worse.real() / (expected.real() / 0.8) - 1.0) <= 1e-3);
  CHECK(std::abs(worse.imag() / expected.imag() - 1.0) <= 1e-3);
}

TEST_CASE("a switched coil brings a whip near to the transmitter and its budget closes") {
  station::Station s = bare_station({30.0, -900.0});
  s.uncertainty.q = 0.15, s.uncertainty.ground = 0.0;
  station::SwitchedCoil c = small_coil();
  c.trimmer_f = 20e-12;
  s.arrangements = {switched("switched", c), arrangement("lumped", station::ArrangementKind::base_coil)};
  const Plan plan = make_plan(s);
  const ConditionResult& r = only(plan);
  REQUIRE(r.possible);
  CHECK(r.swr < 1.1);  // a trimmer and a part across leave little
  double sum = 0.0;
  for (const BudgetItem& item : r.budget) sum += item.power_w;
  CHECK(std::abs(sum / 5.0 - 1.0) <= 1e-9);
  CHECK(plan.bands[0].arrangements[0].ok);
  // Q band: more loss on the low side, less on the high side, around what is stated.
  CHECK(r.loss_range_db.low < r.loss_db);
  CHECK(r.loss_range_db.high > r.loss_db);
  // The loss is that of a lumped coil of the same Q, up to the part across.
  const auto& coil = std::get<network::Inductor>(r.ladder.elements.back().part);
  s.arrangements[1].parts.stock.inductor_loss = {coil.loss.q, 0.0, 0.0, 0.0};
  CHECK(std::abs(only(make_plan(s), 1).loss_db - r.loss_db) <= 0.05);
}

TEST_CASE("only arrangements that wind the same coil share it") {
  station::SwitchedCoil c = small_coil(30.0);
  const station::Arrangement a = switched("a", c);
  CHECK(plan::detail::same_coil(a, switched("b", c)));
  const auto differs = [&](const auto& change) {
    station::SwitchedCoil other = c;
    change(other);
    return !plan::detail::same_coil(a, switched("b", other));
  };
  CHECK(differs([](station::SwitchedCoil& o) { o.turns = 31.0; }));
  CHECK(differs([](station::SwitchedCoil& o) { o.winding.diameter_m *= 1.01; }));
  CHECK(differs([](station::SwitchedCoil& o) { o.winding.sections.front().pitch_m *= 1.01; }));
  CHECK(differs([](station::SwitchedCoil& o) { o.winding.wire.temperature_c = 60.0; }));
  CHECK(differs([](station::SwitchedCoil& o) { o.winding.former.field_share = 0.2; }));
  CHECK(differs([](station::SwitchedCoil& o) { o.former_wall_m = 2e-3; }));
  CHECK(differs([](station::SwitchedCoil& o) { o.winding.beside = coil::PlaneBeside{0.05}; }));
  CHECK(differs([](station::SwitchedCoil& o) { o.switch_ohm = 1.0; }));
  CHECK(differs([](station::SwitchedCoil& o) { o.taps.push_back({"band", 7.0, {}}); }));
  CHECK_FALSE(differs([](station::SwitchedCoil& o) { o.contact_ohm = 1.0; }));  // not of the winding
  station::SwitchedCoil found = c;
  found.turns = 0.0;
  station::Arrangement behind = switched("b", found);
  CHECK(plan::detail::same_coil(switched("a", found), behind));
  behind.cable_after = line("riser", "RG-58", 1.2);  // the turns are found for what is behind the cable
  CHECK_FALSE(plan::detail::same_coil(switched("a", found), behind));
}

TEST_CASE("dead turns cost and shorting them is chosen when it costs less") {
  station::Station s = bare_station({30.0, -500.0});
  station::SwitchedCoil open = small_coil(60.0), shorted = open, better = open, none = small_coil();
  open.unused = coil::Unused::open;
  shorted.unused = coil::Unused::shorted;
  for (station::SwitchedCoil* c : {&open, &shorted, &better, &none}) c->trimmer_f = 40e-12;
  s.arrangements = {switched("open", open), switched("shorted", shorted), switched("better", better),
                    switched("no dead turns", none)};
  const Plan plan = make_plan(s);
  for (std::size_t n = 0; n < 4; ++n) REQUIRE(only(plan, n).possible);
  CHECK(only(plan, 2).loss_db <= std::min(only(plan, 0).loss_db, only(plan, 1).loss_db) + 1e-12);
  CHECK(only(plan, 3).loss_db < only(plan, 0).loss_db);
  CHECK(only(plan, 3).loss_db < only(plan, 1).loss_db);
}

TEST_CASE("stated taps are kept and a bypassed coil is left out") {
  station::Station s = bare_station({30.0, -500.0});
  station::SwitchedCoil c = small_coil(30.0);
  c.shunt_coil = c.shunt_capacitor = false;
  c.taps = {{"band", 13.5, coil::Unused::open}};
  s.arrangements = {switched("stated", c)};
  CHECK(only(make_plan(s)).ladder.elements.at(0).label == "coil (turn 13.5, rest open)");
  s.arrangements[0].coil.taps = {{"band", 0.0, {}}};
  CHECK(only(make_plan(s)).ladder.elements.empty());
  // With too few turns nothing serves, or the loss is plain.
  s.arrangements[0].coil = small_coil(3.0);
  const ArrangementResult few = make_plan(s).bands[0].arrangements[0];
  CHECK_FALSE(few.ok);
  CHECK(few.worst_swr > 2.0);
}

TEST_CASE("a coil set anew in each condition loses no more than one setting for all") {
  station::Station s = bare_station({20.0, -900.0});
  add_load(s, constant("wet", {40.0, -780.0}));
  s.uncertainty.q = 0.1, s.uncertainty.ground = 0.3;
  station::Arrangement a = switched("once", small_coil());
  a.coil.trimmer_f = 20e-12;
  station::Arrangement trimmed = a;
  trimmed.name = "by hand";
  trimmed.trim = station::Trim::tap_and_trimmer;
  s.arrangements = {a, trimmed};
  const BandResult band = make_plan(s).bands[0];
  for (std::size_t n = 0; n < 2; ++n)
    CHECK(band.arrangements[1].conditions[n].worst_loss_db <= band.arrangements[0].conditions[n].worst_loss_db + 1e-9);
  CHECK(band.arrangements[1].ok);
  CHECK_FALSE(band.arrangements[0].ok);
}
