#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/coil/air.hpp>
#include <stile/coil/ratings.hpp>
#include <stile/network/one_port.hpp>

#include "reference.hpp"

using namespace stile;
using namespace stile::coil;
using namespace stile::coil::test;

TEST_CASE("cooling of a cylinder agrees with the rows") {
  // Three printed digits; air's properties by other formulas than the rows': 1.2 % on convection, 1 % on the sum.
  const Table rows = coil_reference("temperature_rise_physics.csv");
  REQUIRE(rows.rows.size() == 9);
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    const CylinderCooling c = cylinder_cooling(rows.number(i, "D_mm") * 1e-3, rows.number(i, "dT_K"), 25.0, 0.9);
    INFO("D " << rows.number(i, "D_mm") << " dT " << rows.number(i, "dT_K"));
    CHECK(off(c.convection_w_m2k, rows.number(i, "h_conv")) <= 0.012);
    CHECK(off(c.radiation_w_m2k, rows.number(i, "h_rad")) <= 1e-3);
    CHECK(off(c.total_w_m2 * 0.1, rows.number(i, "q_mW_cm2")) <= 0.01);
    // The rule of makers, (mW/cm2)^0.833, runs cooler than physics.
    CHECK(std::pow(c.total_w_m2 * 0.1, 0.833) < 0.82 * rows.number(i, "dT_K"));
  }
  CHECK(cylinder_cooling(0.05, 30.0, 25.0, 0.9, 0.7).total_w_m2 < cylinder_cooling(0.05, 30.0, 25.0, 0.9).total_w_m2);
}

TEST_CASE("ratings scale with the current and keep the balance of heat") {
  Winding winding = plain_winding(30, 0.04, 0.0015, 0.001);
  winding.former = former("PLA");
  winding.former.field_share = 0.3;
  const CoilModel model = coil_model(winding);
  const TurnSolution turns = solve_turns(model, 3.6e6);
  const CoilPoint point = analyse(model, turns, tapped(winding, 20, Unused::open, Grounded::from));
  Service service;
  service.current_a_rms = 0.5;
  const CoilRatings one = rate(model, point, service);
  service.current_a_rms = 1.0;
  const CoilRatings two = rate(model, point, service);
  CHECK(off(two.turn_voltage_v_peak, 2.0 * one.turn_voltage_v_peak) <= 1e-12);
  CHECK(off(two.end_voltage_v_peak, 2.0 * one.end_voltage_v_peak) <= 1e-12);
  CHECK(off(two.winding_w, 4.0 * one.winding_w) <= 1e-12);
  CHECK(off(two.former_w, 4.0 * one.former_w) <= 1e-12);
  service.duty = 0.0;  // nothing gets warm
  const CoilRatings cold = rate(model, point, service);
  service.current_a_rms = 0.5;
  CHECK(off(rate(model, point, service).breakdown_margin, 2.0 * cold.breakdown_margin) <= 1e-12);
  service.current_a_rms = 1.0;
  service.duty = 1.0;
  // 0.8 of what 0.5 mm of air as warm as the winding holds, and that is less than cold.
  for (const CoilRatings& r : {cold, two}) {
    const double density = relative_air_density(sea_level_pa, r.temperature_c);
    CHECK(off(r.turn_breakdown_v_peak, 0.8 * spark_voltage_v_peak(0.5e-3, density)) <= 1e-12);
    CHECK(off(r.corona_field_v_m_peak, corona_field_v_m_peak(0.5e-3, density)) <= 1e-12);
  }
  CHECK(two.temperature_rise_k > 10.0);
  CHECK(two.breakdown_margin < cold.breakdown_margin);
  CHECK(off(two.winding_w + two.former_w, point.z_ohm.real()) <= 1e-6);
  // Open turns carry the highest voltage: a step-up transformer.
  CHECK(two.open_end_voltage_v_peak > std::sqrt(2.0) * std::abs(point.z_ohm));
  CHECK(two.end_voltage_v_peak >= two.open_end_voltage_v_peak * (1.0 - 1e-12));
  // Heat given off at the temperature found is what is lost there.
  const double area = pi * 0.041 * (30 * 0.0015 + 0.001);
  const double hot = std::sqrt(conductor::resistivity_ohm_m(conductor::metal_by_name("copper"), two.temperature_c) /
                               conductor::resistivity_ohm_m(conductor::metal_by_name("copper"), 20.0));
  CHECK(off(area * cylinder_cooling(0.041, two.temperature_rise_k, 25.0, 0.9).total_w_m2,
            two.winding_w * hot + two.former_w) <= 1e-6);
  service.duty = 0.2;
  CHECK(rate(model, point, service).temperature_rise_k < two.temperature_rise_k);
  service.altitude_m = 4000.0;
  CHECK(rate(model, point, service).turn_breakdown_v_peak < two.turn_breakdown_v_peak);
}

TEST_CASE("each mode has its duty") {
  // Mean over peak envelope power, common practice: the row of the help and of README.
  struct Row {
    const char* mode;
    double duty;
  };
  for (const Row& row : {Row{"CW", 0.4}, Row{"SSB", 0.2}, Row{"SSB compressed", 0.4}, Row{"FT8", 1.0}, Row{"FM", 1.0},
                         Row{"RTTY", 1.0}, Row{"AM", 0.3}, Row{"carrier", 1.0}}) {
    INFO(row.mode);
    CHECK(mode_duty(row.mode) == row.duty);
  }
  CHECK_THROWS_WITH(mode_duty("semaphore"), Catch::Contains("CW, SSB, SSB compressed, FT8, FM, RTTY, AM, carrier"));
}

TEST_CASE("thin air cools as its Rayleigh number says") {
  // Nu = h D/k depends on Ra alone, and that on p^2 D^3: 0.7 of the pressure at 50 mm is 1 at 50 mm * 0.49^(1/3).
  const double small_m = 0.05 * std::cbrt(0.49);
  const CylinderCooling thin = cylinder_cooling(0.05, 30.0, 25.0, 0.9, 0.7),
                        dense = cylinder_cooling(small_m, 30.0, 25.0, 0.9);
  CHECK(off(thin.convection_w_m2k * 0.05, dense.convection_w_m2k * small_m) <= 1e-12);
  CHECK(thin.radiation_w_m2k == dense.radiation_w_m2k);
  CHECK(off(thin.total_w_m2, 30.0 * (thin.convection_w_m2k + thin.radiation_w_m2k)) <= 1e-14);
}

namespace {

/// Invented: a coil of three turns, 1 mm wire at 2 mm pitch, with what 1 A makes at its four nodes and in its turns.
CoilModel stated_model() {
  CoilModel model;
  model.winding = plain_winding(3, 0.04, 0.002, 0.001);
  return model;
}
CoilPoint stated_point(double charge_c) {
  CoilPoint p;
  const auto node = [&](double turn, cdouble v, double q, double wire_m) {
    p.nodes.push_back({{0, turn}, 0.002 * turn, v, q, wire_m});
  };
  node(0.0, 5.0, 1e-12, 0.0625);
  node(1.0, 35.0, charge_c, 0.05);
  node(1.5, {35.0, 500.0}, 0.0, 0.0);  // a cut: no wire of its own, and between the turns no neighbour
  node(2.0, {35.0, 40.0}, 2e-12, 0.125);
  node(3.0, {35.0, 100.0}, 1e-12, 0.0625);
  p.turn_current_a = {1.0, {0.6, 0.8}, 0.4};
  p.turn_loss_w = {0.25, 0.5, 0.125};
  p.former_loss_ohm = 0.375;
  return p;
}
Service cold(double current_a_rms) {  // nothing gets warm: air of density 1
  Service s;
  s.current_a_rms = current_a_rms;
  s.duty = 0.0;
  s.ambient_c = 20.0;
  return s;
}

}  // namespace

TEST_CASE("what a coil stands, worked by hand") {
  // 2 A rms are 2.828427 A peak. Between turns 30, 40 and 60 V for 1 A: 169.7056 V peak at most. Their gap of 1 mm
  // breaks at 24360 * 0.1 + 6720 * sqrt(0.1) = 4561.05 V, at HF at 0.8 of it: 3648.84 V.
  const CoilRatings r = rate(stated_model(), stated_point(2e-9), cold(2.0));
  CHECK(off(r.turn_voltage_v_peak, 169.7056) <= 1e-6);
  CHECK(off(r.turn_breakdown_v_peak, 3648.84) <= 1e-6);
  // To ground most at the cut: |35 + 500j| = 501.2235 V for 1 A. From `from` to the open end |30 + 100j| = 104.4031 V.
  CHECK(off(r.end_voltage_v_peak, 1417.674) <= 1e-6);
  CHECK(off(r.open_end_voltage_v_peak, 295.2965) <= 1e-6);
  CHECK(r.current_a_rms == 2.0);
  CHECK(off(r.winding_w, 4.0 * 0.875) <= 1e-14);
  CHECK(off(r.former_w, 4.0 * 0.375) <= 1e-14);
  CHECK(r.temperature_rise_k == 0.0);
  CHECK(r.temperature_c == 20.0);
  // 2.828427 A * 2 nC/A on 50 mm: 1.131371e-7 C/m, over 2 pi eps0 * 0.5 mm: 4.067302e6 V/m. Peek at 0.5 mm: 30 kV/cm
  // (1 + 0.301/sqrt(0.05)) = 7.038339e6 V/m, 1.730469 times that.
  CHECK(off(r.surface_field_v_m_peak, 4.067302e6) <= 1e-6);
  CHECK(off(r.corona_field_v_m_peak, 7.038339e6) <= 1e-6);
  CHECK(off(r.breakdown_margin, 1.730469) <= 1e-6);
  REQUIRE(r.warnings.size() == 1);
  CHECK(r.warnings[0].find("breakdown margin of 1.7: at least 2 is wanted") == 0);
  // With next to no charge the turns decide: 3648.84/169.7056.
  const CoilRatings turns = rate(stated_model(), stated_point(1e-12), cold(2.0));
  CHECK(off(turns.breakdown_margin, 21.50100) <= 1e-5);
  CHECK(turns.warnings.empty());
  // Turns that carry current to the end are not open.
  CoilPoint closed = stated_point(2e-9);
  closed.turn_current_a.back() = 0.6;
  CHECK(rate(stated_model(), closed, cold(2.0)).open_end_voltage_v_peak == 0.0);
}

TEST_CASE("of a winding whose pitch changes the closest turns break first") {
  CoilModel model = stated_model();
  for (const auto& [first_m, last_m] : {std::pair(0.002, 0.0015), std::pair(0.0015, 0.002)}) {
    model.winding.sections.front().pitch_m = first_m;
    model.winding.sections.front().last_pitch_m = last_m;
    INFO(first_m);
    // 0.5 mm: 0.8 (24360 * 0.05 + 6720 * sqrt(0.05)) = 2176.51 V.
    CHECK(off(rate(model, stated_point(1e-9), cold(2.0)).turn_breakdown_v_peak, 2176.51) <= 1e-5);
  }
}

TEST_CASE("a former's and an insulation's limit are told from where they are passed") {
  CoilModel model = stated_model();
  model.winding.former = former("PETG");  // 70 C
  int told = 0, quiet = 0;
  for (double current_a = 0.5; current_a < 4.0; current_a *= 1.03) {
    Service s = cold(current_a);
    s.duty = 1.0;
    s.wire_limit_c = 60.0;
    const CoilRatings r = rate(model, stated_point(1e-12), s);
    std::string all;
    for (const std::string& w : r.warnings) all += w;
    INFO(current_a << " A, " << r.temperature_c << " C");
    CHECK((all.find("PETG former's limit of 70") != std::string::npos) == (r.temperature_c > 70.0));
    CHECK((all.find("insulation's limit of 60") != std::string::npos) == (r.temperature_c > 60.0));
    ++(r.temperature_c > 60.0 && r.temperature_c <= 70.0 ? told : quiet);
  }
  CHECK((told > 1 && quiet > 10));
}

TEST_CASE("a service is by default sent all the time in painted turns at 25 degrees by the sea") {
  const Service s;
  CHECK(s.duty == 1.0);
  CHECK(s.ambient_c == 25.0);
  CHECK(s.altitude_m == 0.0);
  CHECK(s.emissivity == 0.9);
  CHECK_FALSE(s.wire_limit_c);
}

TEST_CASE("limits passed are told") {
  Winding winding = plain_winding(30, 0.04, 0.0015, 0.001);
  winding.former = former("PLA");
  const CoilModel model = coil_model(winding);
  const CoilPoint point = analyse(model, solve_turns(model, 3.6e6), whole(winding));
  Service service;
  service.current_a_rms = 1e-6;
  CHECK(rate(model, point, service).warnings.empty());
  CHECK(rate(model, point, service).temperature_rise_k < 1e-3);
  service.current_a_rms = 3.0;
  service.wire_limit_c = 105.0;
  std::string all;
  for (const std::string& w : rate(model, point, service).warnings) all += w;
  CHECK(all.find("PLA former's limit") != std::string::npos);
  service.current_a_rms = 100.0;
  all.clear();
  const CoilRatings r = rate(model, point, service);
  for (const std::string& w : r.warnings) all += w;
  CHECK(all.find("power is too high") != std::string::npos);
  CHECK(all.find("insulation's limit") != std::string::npos);
  CHECK(all.find("breakdown margin") != std::string::npos);
  int warned = 0, quiet = 0;
  for (service.current_a_rms = 1.0; service.current_a_rms < 100.0; service.current_a_rms *= 1.05) {
    const CoilRatings near = rate(model, point, service);
    const bool told = std::any_of(near.warnings.begin(), near.warnings.end(), [](const std::string& w) {
      return w.find("at least 2 is wanted") != std::string::npos;
    });
    CHECK(told == (near.breakdown_margin < 2.0));
    ++(told ? warned : quiet);
  }
  CHECK((warned > 3 && quiet > 3));
  service.current_a_rms = 0.1;
  service.wire_limit_c = 0.0;  // stated: the air is warmer than that
  all.clear();
  for (const std::string& w : rate(model, point, service).warnings) all += w;
  CHECK(all.find("insulation's limit of 0") != std::string::npos);
  for (const double limit : {-1.0, 601.0}) {
    service.wire_limit_c = limit;
    CHECK_THROWS_AS(rate(model, point, service), DomainError);
  }
  service.wire_limit_c.reset();
  service.duty = 1.5;
  CHECK_THROWS_AS(rate(model, point, service), DomainError);
}

TEST_CASE("a design is rated on every band with the whole power accepted") {
  DesignRequest request;
  request.winding = plain_winding(1, 0.04, 0.002, 0.001);
  request.bands = {{"40 m", 7.1e6, {20.0, -900.0}, 0.0, 0.0}, {"matched", 14.2e6, {50.0, 5.0}, 0.0, 0.0}};
  const CoilDesign design = design_coil(request);
  REQUIRE(design.status == DesignStatus::found);
  Service service;
  service.duty = 0.4;
  const std::vector<BandRatings> rated = rate_design(design, 5.0, service);
  REQUIRE(rated.size() == 2);
  const BandDesign& band = design.bands.front();
  const double current = std::sqrt(5.0 / band.chosen().input_ohm.real());
  CHECK(off(rated[0].current_a_rms, current) <= 1e-12);
  // The load takes what the coil leaves of the power; its current is not the base's, as unused turns and capacitance
  // transform it.
  CHECK(off(rated[0].load_voltage_v_peak,
            network::load_voltage_v_peak(band.target.load_ohm, 5.0 * band.chosen().efficiency)) <= 1e-9);
  CHECK(off(rated[0].load_voltage_v_peak, std::sqrt(2.0) * current * 900.0) > 0.01);
  service.current_a_rms = current;
  REQUIRE(rated[0].ratings);
  CHECK(off(rated[0].ratings->winding_w, rate(coil_model(design.winding), band.coil, service).winding_w) <= 1e-12);
  const std::vector<double> volts = node_voltages_v_peak(band.coil, current);
  REQUIRE(volts.size() == band.coil.nodes.size());
  CHECK(off(*std::max_element(volts.begin(), volts.end()), rated[0].ratings->end_voltage_v_peak) <= 1e-12);
  CHECK(design.bands[1].chosen().turns == 0.0);  // bypassed
  CHECK(!rated[1].ratings);
  // Bypassed, the load still stands at a voltage, that of 5 W in 50+5j ohm; the idle coil takes next to nothing.
  CHECK(off(rated[1].current_a_rms, std::sqrt(5.0 / design.bands[1].chosen().input_ohm.real())) <= 1e-12);
  CHECK(off(rated[1].current_a_rms, std::sqrt(5.0 / 50.0)) <= 2e-3);
  CHECK(off(rated[1].load_voltage_v_peak, network::load_voltage_v_peak(cdouble{50.0, 5.0}, 5.0)) <= 1e-6);
  CHECK(highest_load_voltage(rated) == 0);
  CHECK(highest_load_voltage({&rated[1], 1}) == 0);
  CHECK_THROWS_AS(highest_load_voltage({}), DomainError);
  CHECK_THROWS_AS(rate_design(design, 0.0, service), DomainError);
  CHECK_THROWS_AS(node_voltages_v_peak(band.coil, -1.0), DomainError);
}
