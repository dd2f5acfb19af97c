// What goes into the body, touching, the gap a voltage jumps, wind.
#include <catch2/catch.hpp>

#include <algorithm>
#include <map>

#include <stile/base/errors.hpp>
#include <stile/safety/body.hpp>
#include <stile/safety/contact.hpp>
#include <stile/safety/wind.hpp>

#include "safety/carried.hpp"
#include "safety/reference.hpp"

using namespace stile;
using namespace stile::safety;
using namespace stile::safety::test;
using wire::WhipCondition;

TEST_CASE("power into the person over his mass, and the mass that is enough") {
  const wire::SolveOptions solve = wire::with_tables({});
  ExposureOptions options;
  options.solve = solve;
  const ExposureCase hand = solved(carried_case(WhipCondition::hand_on_set), 7.1e6, 5.0, solve);
  const BodyExposure b = body_exposure(hand, 75.0, options);
  CHECK(b.in_model);
  CHECK(b.contact);
  CHECK(b.enough_mass_kg == Approx(62.5).epsilon(1e-12));  // 5 W at 0.08 W/kg
  // His share, and what heats the contact; all of it is no more than the power into the antenna.
  const double a = wire::lump_current_a_rms(hand.solution, *hand.wires.hand, 5.0);
  CHECK(b.person_w ==
        Approx(5.0 * hand.solution.share.person + a * a * hand.wires.antenna.lumps[*hand.wires.hand].resistance_ohm)
            .epsilon(1e-12));
  CHECK(b.person_w < 5.0);
  CHECK(b.whole_body_w_kg == Approx(b.person_w / 75.0));
  REQUIRE(b.limbs.size() == 3);
  CHECK(b.limbs[0].where == "hand and wrist");
  CHECK(b.limbs[0].current_a_rms == Approx(a));
  for (const LimbCurrent& l : b.limbs) {
    INFO(l.where);
    CHECK(l.current_range_a.low < l.current_a_rms);
    CHECK(l.current_range_a.high > l.current_a_rms);
    CHECK(l.sar_10g_range_w_kg.low < l.sar_10g_w_kg);
    CHECK(l.sar_10g_range_w_kg.high > l.sar_10g_w_kg);
  }
  // Touching the set is what matters: many times the power that goes into somebody who does not.
  const BodyExposure untouched =
      body_exposure(solved(carried_case(WhipCondition::trailing_usual), 7.1e6, 5.0, solve), 75.0, options);
  CHECK(!untouched.contact);
  CHECK(b.person_w > 10.0 * untouched.person_w);
  // Contact currents stand beside contact levels, feet beside limb levels.
  bool contact = false, limb = false;
  for (const BodyRow& r : b.rows) {
    CHECK(r.ratio == Approx(r.value / r.level));
    CHECK(!r.status.empty());
    contact = contact || (r.where == "hand and wrist" && r.quantity == "touch contact current" && r.level == 0.0167);
    limb = limb || (r.where == "left foot and ankle" && r.quantity == "any limb current" && r.level == 0.045);
    if (r.where.find("foot") != std::string::npos) CHECK(r.quantity.find("contact") == std::string::npos);
  }
  CHECK(contact);
  CHECK(limb);
  // Without a person in the file nothing is said but the mass.
  const BodyExposure none =
      body_exposure(solved(carried_case(WhipCondition::trailing_usual, false), 7.1e6, 20.0, solve), 75.0, options);
  CHECK(!none.in_model);
  CHECK(none.enough_mass_kg == Approx(250.0).epsilon(1e-12));
  CHECK(none.rows.empty());
  CHECK_THROWS_AS(body_exposure(hand, 0.0, options), DomainError);
}

TEST_CASE("SAR of a limb current stands where the published pairs of current and restriction do") {
  // ICNIRP 1998 (from memory): 100 mA in any limb beside 20 W/kg, 45 mA beside 4 W/kg. Within the spread of conductivity.
  CHECK(limb_sar_w_kg(0.1) == Approx(17.6).margin(0.1));
  CHECK(limb_sar_w_kg(0.1, 0.6 * 0.7) > 20.0);
  CHECK(limb_sar_w_kg(0.045) == Approx(3.56).margin(0.05));
  CHECK(limb_sar_w_kg(0.045, 0.6 * 0.7) > 4.0);
  CHECK(limb_sar_w_kg(0.2) == Approx(4.0 * limb_sar_w_kg(0.1)));
  CHECK(limb_sar_w_kg(0.1, 0.6, 1.6) == Approx(limb_sar_w_kg(0.1) * std::pow(1.75 / 1.6, 4)));
  CHECK_THROWS_AS(limb_sar_w_kg(-0.1), DomainError);
  CHECK_THROWS_AS(limb_sar_w_kg(0.1, 0.0), DomainError);
}

TEST_CASE("touching: less current through a hand than through nothing, none through an open gap") {
  const wire::SolveOptions solve = wire::with_tables({});
  ExposureOptions options;
  options.solve = solve;
  const ExposureCase one = solved(carried_case(WhipCondition::trailing_usual, false), 7.1e6, 5.0, solve);
  const Contacts c = contacts(one, 300.0, options);
  CHECK(c.terminal_v_peak > 300.0);
  REQUIRE(c.places.size() == 2);
  CHECK(c.left_out.empty());
  CHECK(c.places[0].where == "\"whip\", 10 cm from the feed");
  CHECK(c.places[1].where == "the end of \"counterpoise\"");
  const Contacts soft = contacts(one, 3000.0, options);
  for (std::size_t n = 0; n < c.places.size(); ++n) {
    const Contact& k = c.places[n];
    INFO(k.where);
    CHECK(k.open_v_rms > 50.0);
    CHECK(k.contact_a_rms < k.short_a_rms);
    CHECK(soft.places[n].contact_a_rms < k.contact_a_rms);
    // Not more than the open voltage drives through the hand alone.
    CHECK(k.contact_a_rms < k.open_v_rms / 300.0);
  }
  // Twice the field with four times the power.
  ExposureCase more = one;
  more.power_w = 20.0;
  CHECK(contacts(more, 300.0, options).places[0].open_v_rms == Approx(2.0 * c.places[0].open_v_rms));
  CHECK_THROWS_AS(contacts(one, -1.0, options), DomainError);
  ExposureCase plane = one;
  plane.wires.ground = wire::perfect_ground();
  CHECK(contacts(plane, 300.0, options).left_out.size() == 1);
}

TEST_CASE("with a coil in the whip both its sides can be touched") {
  wire::WireCase wires = carried_case(WhipCondition::trailing_usual, false);
  wires.antenna.coils.push_back({0, 0.5, 0.02, 10e-6, 200.0, 0.0});
  const Contacts c = contacts(solved(wires, 7.1e6, 5.0), 300.0, {});
  REQUIRE(c.places.size() == 3);
  CHECK(c.places[1].where == "\"whip\", beyond its coil");
  CHECK(c.places[1].point_m.z_m == Approx(1.2 + 0.56));
  CHECK(c.places[1].open_v_rms != Approx(c.places[0].open_v_rms));
}

TEST_CASE("breakdown of an even gap, and pressure at an altitude") {
  const Table gaps = reference("uniform_gap.csv");
  for (std::size_t row = 0; row < gaps.rows.size(); ++row) {
    const double gap_m = 1e-3 * gaps.number(row, "gap_mm"), v = 1e3 * gaps.number(row, "Vb_kV_peak_at_1013hPa_20C");
    INFO("gap " << gap_m);
    CHECK(relative(gap_breakdown_v_peak(gap_m, 101325.0), v) <= 1e-4);
    CHECK(relative(gap_jumped_m(v, 101325.0), gap_m) <= 3e-4);
  }
  const Table air = reference("altitude.csv");
  for (std::size_t row = 0; row < air.rows.size(); ++row) {
    const double h = air.number(row, "altitude_m");
    INFO(h);
    CHECK(relative(air_pressure_pa(h), 1e3 * air.number(row, "pressure_kPa")) <= 1e-4);
  }
  // The same voltage jumps farther up there; below 327 V peak nothing jumps.
  CHECK(gap_jumped_m(1000.0, air_pressure_pa(3000.0)) ==
        Approx(gap_jumped_m(1000.0, air_pressure_pa(0.0)) * air_pressure_pa(0.0) / air_pressure_pa(3000.0)));
  CHECK(gap_jumped_m(326.0, 101325.0) == 0.0);
  // At HF 0.8 of it: 1055 V peak is 0.176 mm in place of 0.125 mm, and nothing jumps only below 262 V.
  CHECK(hf_gap_jumped_m(1055.0, 101325.0) == Approx(0.176e-3).margin(0.5e-6));
  CHECK(gap_jumped_m(1055.0, 101325.0) == Approx(0.125e-3).margin(0.5e-6));
  CHECK(hf_gap_jumped_m(262.0, 101325.0) > 0.0);
  CHECK(hf_gap_jumped_m(261.0, 101325.0) == 0.0);
  CHECK_THROWS_AS(gap_breakdown_v_peak(0.2, 101325.0), DomainError);
  CHECK_THROWS_AS(air_pressure_pa(12000.0), DomainError);
}

TEST_CASE("Beaufort scale against its table and its formula") {
  const Table table = reference("beaufort.csv");
  REQUIRE(beaufort_scale().size() == 13);
  REQUIRE(table.rows.size() == 13);
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const Beaufort& b = beaufort_scale()[row];
    INFO(b.name);
    CHECK(b.number == static_cast<int>(table.number(row, "force")));
    CHECK(b.name == table.text(row, "name"));
    CHECK(b.low_m_s == table.number(row, "ms_lo"));
    if (!table.text(row, "ms_hi").empty()) CHECK(b.high_m_s == table.number(row, "ms_hi"));
    const double v = 0.836 * std::pow(b.number, 1.5);
    CHECK(v >= b.low_m_s);
    if (b.number < 12) CHECK(v <= b.high_m_s);
    CHECK(std::abs(0.5 * air_density_kg_m3 * b.high_m_s * b.high_m_s / table.number(row, "q_Pa_at_upper_edge") - 1.0) <=
          5e-3);  // 1 and 2 digits in the first rows
  }
}

TEST_CASE("wind on a tapering pole") {
  const Table table = reference("pole_vectors.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const WindLoad w =
        wind_on_pole({table.number(row, "length_m"), table.number(row, "D_base_m"), table.number(row, "D_tip_m")},
                     table.number(row, "v_m_s"));
    // Five digits: half a unit of the last is 5e-5 at most.
    CHECK(relative(w.force_n, table.number(row, "force_N")) <= 5e-5);
    CHECK(relative(w.moment_nm, table.number(row, "base_moment_Nm")) <= 5e-5);
  }
  CHECK_THROWS_AS(wind_on_pole({0.0, 0.04, 0.01}, 5.0), DomainError);
  CHECK_THROWS_AS(wind_on_pole({6.0, 0.04, 0.01}, -5.0), DomainError);
}

TEST_CASE("a whip in the wind is a pole without taper, a long pole comes down from Beaufort 5, anything from 7") {
  const wire::WireCase wires = carried_case(WhipCondition::trailing_usual, false);
  const WindLoad alone = wind_on_pole({2.4, 0.004, 0.004}, 10.7), with_wire = wind_on_wires(wires, 10.7);
  CHECK(with_wire.moment_nm == Approx(alone.moment_nm));
  CHECK(with_wire.force_n > alone.force_n);  // half of what blows on the sloping wire
  const WindTable bare = wind_table(wires, {}, {}), pole = wind_table(wires, Pole{6.0, 0.04, 0.006}, {});
  CHECK(bare.take_down == 7);
  CHECK(pole.take_down == 5);
  CHECK(bare.rows.size() == 12);
  CHECK(bare.held_nm == Approx(83.0 * 9.80665 * 0.15));
  // 43.67 N m at Beaufort 6 for the pole of 6 m (the caution's 43 N m), and a little for the whip.
  CHECK(pole.rows[5].pack_moment_nm == Approx(43.672 + wind_on_wires(wires, 13.8).moment_nm).epsilon(1e-4));
  CHECK(pole.rows[5].counterweight_kg == Approx(pole.rows[5].pack_moment_nm / (9.80665 * 0.3)));
  CHECK_THROWS_AS(wind_table(wires, {}, {0.0, 8.0, 0.15, 1.5}), DomainError);
}
