#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/coil/toroid.hpp>
#include <stile/conductor/skin.hpp>

#include "reference.hpp"

using namespace stile;
using namespace stile::coil;
using namespace stile::coil::test;

TEST_CASE("ring core constants follow the rules of IEC 60205") {
  const Table rows = coil_reference("toroid_geometry.csv");
  REQUIRE(rows.rows.size() == 4);
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    const RingCore core{rows.number(i, "OD_mm") * 1e-3, rows.number(i, "ID_mm") * 1e-3, rows.number(i, "h_mm") * 1e-3};
    const CoreConstants c = core_constants(core);
    INFO("row " << i);
    CHECK(off(c.c1_per_m, rows.number(i, "C1_per_m")) <= 5e-6);    // 6 digits
    CHECK(off(c.c2_per_m3, rows.number(i, "C2_per_m3")) <= 3e-5);  // 5 digits
    CHECK(off(c.length_m, rows.number(i, "le_mm") * 1e-3) <= 3e-5);
    CHECK(off(c.area_m2, rows.number(i, "Ae_mm2") * 1e-6) <= 5e-5);
    CHECK(off(c.volume_m3, rows.number(i, "Ve_mm3") * 1e-9) <= 2e-4);  // 4 digits
    for (const int mu : {6, 10, 40, 125}) {
      const ToroidCoil coil{core,
                            static_cast<double>(mu),
                            0.0,
                            1,
                            conductor::RoundWire{0.0005, 0.0, conductor::metal_by_name("copper"), 20.0},
                            0.0};
      const std::string column = "AL_nH_mu" + std::to_string(mu);
      CHECK(off(analyse_toroid(coil, 1e6).inductance_h * old_mu0 * 1e9, rows.number(i, column)) <= 5e-5);  // 5 digits
    }
  }
}

TEST_CASE("ring core constants against long double") {
  for (const double ratio : {1.3, 1.7, 3.0, 10.0}) {
    const RingCore core{ratio * 0.0142, 0.0142, 0.0079};
    const CoreConstants c = core_constants(core);
    const auto outer = static_cast<long double>(core.outer_diameter_m);
    const auto inner = static_cast<long double>(core.inner_diameter_m);
    const auto height = static_cast<long double>(core.height_m);
    const long double round = std::numbers::pi_v<long double>, log = std::log(outer / inner);
    const long double c1 = 2 * round / (height * log),
                      c2 = 4 * round * (1 / inner - 1 / outer) / (height * height * log * log * log);
    INFO("outside over hole " << ratio);
    CHECK(off(c.c1_per_m, static_cast<double>(c1)) <= 1e-14);
    CHECK(off(c.c2_per_m3, static_cast<double>(c2)) <= 1e-14);
    CHECK(off(c.length_m, static_cast<double>(c1 * c1 / c2)) <= 1e-14);
    CHECK(off(c.area_m2, static_cast<double>(c1 / c2)) <= 1e-14);
    CHECK(off(c.volume_m3, static_cast<double>(c1 * c1 * c1 / (c2 * c2))) <= 1e-14);
  }
}

TEST_CASE("complex permeability gives inductance and core loss") {
  const Table rows = coil_reference("toroid_complex_mu.csv");
  REQUIRE(rows.rows.size() == 3);
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    ToroidCoil coil{{0.0239, 0.0142, 0.0079},
                    rows.number(i, "mu_prime"),
                    rows.number(i, "mu_second"),
                    static_cast<int>(rows.number(i, "N")),
                    conductor::RoundWire{0.001, 0.0, conductor::metal_by_name("copper"), 20.0},
                    0.0};
    const ToroidResult r = analyse_toroid(coil, rows.number(i, "f_MHz") * 1e6);
    CHECK(off(r.inductance_h * old_mu0 * 1e6, rows.number(i, "L_uH")) <= 5e-6);
    CHECK(off(r.core_resistance_ohm * old_mu0, rows.number(i, "R_core_ohm")) <= 5e-6);
    CHECK(off(r.q_core, rows.number(i, "Q_core")) <= 1e-12);
    CHECK(r.q < r.q_core);
    // Q by its parts: practice adds 5 to 15 % to the winding's resistance, nothing to the core's.
    const double x = two_pi * rows.number(i, "f_MHz") * 1e6 * r.inductance_h;
    CHECK(off(r.q, x / (r.core_resistance_ohm + r.winding_resistance_ohm)) <= 1e-12);
    CHECK(off(r.q_practice.low, x / (r.core_resistance_ohm + 1.15 * r.winding_resistance_ohm)) <= 1e-12);
    CHECK(off(r.q_practice.high, x / (r.core_resistance_ohm + 1.05 * r.winding_resistance_ohm)) <= 1e-12);
    CHECK(r.q_practice.low < r.q_practice.high);
    CHECK(r.q_practice.high < r.q);
    CHECK(toroid_turns(coil.core, coil.mu_real, r.inductance_h) == coil.turns);
    CHECK(toroid_turns(coil.core, coil.mu_real, r.inductance_h * 1.01) == coil.turns + 1);
  }
}

TEST_CASE("the printed example of flux density is met") {
  // Maker's application note: 25 V, 0.133 cm2, 15 turns, 7 MHz give 40.3 gauss (printed with 4.44 for sqrt(2) pi).
  const Table rows = coil_reference("flux_density_example.csv");
  CHECK(rows.text(1, "value").find("40.3 gauss") == 0);
  CHECK(std::abs(flux_density_t_peak(25.0, 7e6, 15, 0.133e-4) * 1e4 - 40.3) <= 0.05);
  CHECK(off(flux_density_t_peak(1.0, 1e6, 1, 1e-4) * 2.0, flux_density_t_peak(1.0, 0.5e6, 1, 1e-4)) <= 1e-12);
}

TEST_CASE("a ring warns of layers, of a full hole and of what it leaves out") {
  // Wire of 0.7 mm over its insulation in a hole of 7.7 mm: 31 turns side by side (pi * 7.0/0.7 = 31.4), and a hole 40
  // % full at 0.4 * 11^2 = 48.4 turns.
  const auto warned = [](int turns, const char* word) {
    const ToroidCoil coil{{0.0127, 0.0077, 0.00483},
                          10.0,
                          0.0,
                          turns,
                          conductor::RoundWire{0.0006, 0.0, conductor::metal_by_name("copper"), 20.0},
                          0.00005};
    std::string all;
    for (const std::string& w : analyse_toroid(coil, 7e6).warnings) all += w + "\n";
    return all.find(word) != std::string::npos;
  };
  CHECK(warned(31, "skin effect alone"));
  CHECK_FALSE(warned(31, "do not fit side by side"));
  CHECK(warned(32, "32 turns do not fit side by side (31 do)"));
  CHECK_FALSE(warned(48, "40 % of the hole"));
  CHECK(warned(49, "40 % of the hole"));
}

TEST_CASE("winding length and window of a ring") {
  const ToroidCoil coil{{0.0127, 0.0077, 0.00483},
                        10.0,
                        0.0,
                        30,
                        conductor::RoundWire{0.0006, 0.0, conductor::metal_by_name("copper"), 20.0},
                        0.00005};
  const ToroidResult r = analyse_toroid(coil, 7e6);
  CHECK(off(r.wire_length_m, 30 * (0.005 + 0.00966 + pi * 0.0007)) <= 1e-12);
  CHECK(r.layer_turns == std::floor(pi * 0.007 / 0.0007));
  CHECK(off(r.window_fill, 30 * 0.0007 * 0.0007 / (0.0077 * 0.0077)) <= 1e-12);
  CHECK(off(r.winding_resistance_ohm,
            conductor::internal_impedance_ohm_per_m(coil.wire, 7e6).real() * r.wire_length_m) <= 1e-12);
  ToroidCoil full = coil;
  full.turns = 50;
  CHECK(analyse_toroid(full, 7e6).warnings.size() > r.warnings.size());
  full.wire.diameter_m = 0.0065;
  CHECK_THROWS_AS(analyse_toroid(full, 7e6), DomainError);
  CHECK_THROWS_AS(core_constants({0.01, 0.02, 0.005}), DomainError);
  full = coil;
  full.turns = 0;
  CHECK_THROWS_AS(analyse_toroid(full, 7e6), DomainError);
  full = coil;
  full.mu_imaginary = -1.0;
  CHECK_THROWS_AS(analyse_toroid(full, 7e6), DomainError);
}
