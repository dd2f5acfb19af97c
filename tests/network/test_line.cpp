#include <array>
#include <catch2/catch.hpp>
#include <map>

#include <stile/base/errors.hpp>
#include <stile/network/cable.hpp>
#include <stile/network/line.hpp>
#include <stile/network/swr_loss.hpp>
#include <stile/network/waves.hpp>

#include "network/reference.hpp"

using namespace stile;
using namespace stile::network;
using namespace stile::network::test;

namespace {

constexpr double book_c_m_s = 3e8;  // several books round the velocity of light
constexpr double book_c_factor = book_c_m_s / speed_of_light_m_s;

double degrees(cdouble z) { return std::arg(z) * 180.0 / pi; }

LineConstants per_km(double r, double l, double g, double c, double frequency_hz) {
  return line_from_rlgc({r / 1e3, l / 1e3, g / 1e3, c / 1e3}, frequency_hz);
}

// Current into the load for a current into the input.
cdouble load_current(const Chain& chain, cdouble z_load, cdouble i_input) {
  return i_input / (chain.c * z_load + chain.d);
}

using Values = std::map<std::string, double>;

Values reflection_values(cdouble z, cdouble z_ref) {
  const cdouble gamma = reflection(z, z_ref, WaveDefinition::travelling);
  return {{"|Gamma|", std::abs(gamma)},
          {"arg Gamma", degrees(gamma)},
          {"SWR", swr(std::abs(gamma))},
          {"return loss", return_loss_db(std::abs(gamma))}};
}

// What the library computes for each published example, in the row's unit. The data is in the row's column "problem".
// `variant` tells apart two problems of one example.
Values example(const std::string& id, bool variant) {
  const auto z_in = [](const LineConstants& line, double length_m, cdouble z_load) {
    return input_impedance(std::array{line_chain(line, length_m)}, z_load);
  };
  if (id == "SA111") {
    const Rlgc c = rlgc_from_line({70.0, {0.0, 3.0}}, 100e6);
    return {{"L", c.l_h_m * 1e9}, {"C", c.c_f_m * 1e12}};
  }
  if (id == "SA112") {
    LineConstants line = lossless_line(60.0, 0.6 * book_c_factor, 100e6);
    line.gamma_per_m += 0.02;
    const Rlgc c = rlgc_from_line(line, 100e6);
    return {{"R", c.r_ohm_m},
            {"L", c.l_h_m * 1e9},
            {"G", c.g_s_m * 1e6},
            {"C", c.c_f_m * 1e12},
            {"wavelength", wavelength_m(line)}};
  }
  if (id == "SA113") {
    const LineConstants line{{60.0, 40.0}, {8.0 / db_per_neper, 1.0}};
    const cdouble load{20.0, 50.0}, zin = z_in(line, 2.0, load), i_send = 10.0 / (40.0 + zin);
    const cdouble z_middle = z_in(line, 1.0, load);
    return {{"Re Zin", zin.real()},
            {"Im Zin", zin.imag()},
            {"|Isend|", std::abs(i_send) * 1e3},
            {"arg Isend", degrees(i_send)},
            {"|I| at 1 m", std::abs(load_current(line_chain(line, 1.0), z_middle, i_send)) * 1e3}};
  }
  if (id == "SA114") {
    Values v = reflection_values({60.0, 40.0}, 50.0);
    const cdouble zin = z_in(lossless_line(50.0, 0.6 * book_c_factor, 2e6), 30.0, {60.0, 40.0});
    v["Re Zin"] = zin.real();
    v["Im Zin"] = zin.imag();
    return v;
  }
  if (id == "SA115") {
    const cdouble load{100.0, 150.0}, yl = 1.0 / load;  // its admittance is a mere definition
    Values v = reflection_values(load, 75.0);
    const LineConstants line = lossless_line(75.0, 1.0, 100e6);
    const cdouble zin = z_in(line, 0.4 * wavelength_m(line), load);
    v.insert({{"Re YL", yl.real() * 1e3}, {"Im YL", yl.imag() * 1e3}, {"Re Zin", zin.real()}, {"Im Zin", zin.imag()}});
    return v;
  }
  if (id == "BI447" || id == "BI449") {
    const LineConstants line =
        id == "BI447" ? per_km(15.0, 3.4e-3, 3e-6, 10e-9, 2e3) : per_km(25.0, 5e-3, 80e-6, 0.04e-6, 1e3);
    const cdouble gamma = line.gamma_per_m * 1e3;
    return {{"|Z0|", std::abs(line.z0_ohm)}, {"arg Z0", degrees(line.z0_ohm)}, {"|gamma|", std::abs(gamma)},
            {"arg gamma", degrees(gamma)},   {"alpha", gamma.real()},          {"beta", gamma.imag()}};
  }
  if (id == "BI4410") {
    const LineConstants line = per_km(8.0, 3e-3, 0.25e-6, 7500e-12, 1e3);
    const cdouble i_send = 10.0 / (400.0 + z_in(line, 300e3, line.z0_ohm));
    const cdouble i_received = load_current(line_chain(line, 300e3), line.z0_ohm, i_send);
    return {{"|Z0|", std::abs(line.z0_ohm)},          {"arg Z0", degrees(line.z0_ohm)},
            {"alpha", line.gamma_per_m.real() * 1e3}, {"beta", line.gamma_per_m.imag() * 1e3},
            {"|Isend|", std::abs(i_send) * 1e3},      {"arg Isend", degrees(i_send)},
            {"|Irec|", std::abs(i_received) * 1e3},   {"arg Irec", degrees(i_received)},
            {"wavelength", wavelength_m(line) / 1e3}};
  }
  if (id == "BI443") {  // matched; z0 does not matter
    const Chain chain = line_chain({600.0, {0.25e-3, 0.2e-3}}, 10e3);
    const cdouble v = 5.0 / (chain.a + chain.b / 600.0);
    return {{"|V|", std::abs(v)}, {"arg V", degrees(v)}};
  }
  if (id == "BI4414") {
    return {{"|rho|", std::abs(reflection(variant ? cdouble{600.0} : cdouble{500.0, 40.0}, {500.0, -40.0},
                                          WaveDefinition::travelling))}};
  }
  if (id == "BI4416") {  // the book's reflection is that of the current
    const cdouble rho = -reflection({400.0, 250.0}, 600.0, WaveDefinition::travelling);
    return {{"|rho|", std::abs(rho)}, {"arg rho", degrees(rho)}, {"SWR", swr(std::abs(rho))}};
  }
  if (id == "BI4417") {
    const cdouble z = impedance_from_reflection(-std::polar(0.2, -two_pi / 3.0), 80.0, WaveDefinition::travelling);
    return {{"Re ZR", z.real()}, {"Im ZR", z.imag()}, {"SWR", swr(0.2)}};
  }
  if (id == "BI4418") {
    const double r = reflection_abs_from_swr(1.6);
    return {{"reflected power", 0.2 * r * r * 1e3}};
  }
  if (id == "BL1" || id == "FR134") {
    const double z0 = id == "BL1" ? 50.0 : 93.0, c_f_m = id == "BL1" ? 90e-12 : 13.5e-12 / metre_per_foot;
    const LineConstants line{z0, {0.0, two_pi * 10e6 * z0 * c_f_m}};  // beta of C and z0, at any frequency
    const double l = rlgc_from_line(line, 10e6).l_h_m * 1e9;
    return {{"L", id == "BL1" ? l : l * metre_per_foot},
            {"delay", 1e9 * metre_per_foot / phase_velocity_m_s(line, 10e6)}};
  }
  if (id == "BL2" || id == "BL3" || id == "AOE1") {
    const Rlgc coax = id == "BL2"   ? coaxial_line(2e-3, 8e-3, 2.3)
                      : id == "BL3" ? coaxial_line(1e-3, 4e-3, 2.1)
                                    : coaxial_line(0.81e-3, 2.95e-3, 2.3);
    const LineConstants line = line_from_rlgc(coax, 10e6);
    // The problem states the constant 138 ohm, which is eta0 ln 10 / (2 pi) = 138.06 rounded: the same is done here.
    const double rounded = 138.0 / (eta0_ohm * std::log(10.0) / two_pi);
    return {{"Z0", line.z0_ohm.real() * rounded},
            {"velocity factor", phase_velocity_m_s(line, 10e6) / speed_of_light_m_s}};
  }
  if (id == "AOE2") {
    return {{"C", rlgc_from_line(lossless_line(52.0, 0.66, 10e6), 10e6).c_f_m * 1e12 * metre_per_foot}};
  }
  if (id == "BL8")
    return {{"load power", 50.0 * std::pow(10.0, -mismatch_loss_db(reflection_abs_from_swr(2.0)) / 10.0)}};
  if (id == "E4B06")
    return {{"absorbed", 100.0 * std::pow(10.0, -mismatch_loss_db(reflection_abs_from_powers(100.0, 25.0)) / 10.0)}};
  if (id == "BL20") return {{"SWR", swr(reflection_abs_from_powers(150.0, 20.0))}};
  if (id == "BL9") {
    const cdouble zin = z_in(lossless_line(50.0, 0.8 * book_c_factor, 30e6), 1.0, 100.0);
    return {{"Re Zin", zin.real()}, {"Im Zin", zin.imag()}};
  }
  if (id == "BL11" || id == "FR133") {
    const double length_m = id == "BL11" ? 45.0 : 165.0 * metre_per_foot;
    const AttenuationPoint point{10e6, id == "BL11" ? 4.0 : 5.3, id == "BL11" ? 100.0 : 100.0 * metre_per_foot};
    const Cable cable = cable_from_attenuation("example", 50.0, 0.66, std::array{point});
    const double loss = total_loss_db(attenuation_db_per_m(cable, 10e6) * length_m, 1.0);
    return {{"loss", loss},
            {"output", 100.0 * std::pow(10.0, -loss / 10.0)},
            {"transmitter power", 100.0 * std::pow(10.0, loss / 10.0)}};
  }
  if (id == "M33" || id == "K32") {
    const bool m = id == "M33";
    const LineConstants line =
        m ? line_from_rlgc({2.0, 8e-9, 0.5e-3, 0.23e-12}, 1e9) : per_km(8.0, 2e-3, 0.07e-6, 2e-9, 2e3);
    const cdouble gamma = line.gamma_per_m * (m ? 1.0 : 1e3);
    return {
        {"Re Z0", line.z0_ohm.real()}, {"Im Z0", line.z0_ohm.imag()}, {"alpha", gamma.real()}, {"beta", gamma.imag()}};
  }
  if (id == "M38") {
    const double velocity = 1.0 / (50.0 * 100e-12);
    const LineConstants line{50.0, {1.15e-3, two_pi * 10e6 / velocity}};
    const Rlgc c = rlgc_from_line(line, 10e6);
    return {{"R", c.r_ohm_m}, {"L", c.l_h_m}, {"G", c.g_s_m}, {"velocity", phase_velocity_m_s(line, 10e6)}};
  }
  if (id == "M39") {
    const LineConstants line = line_from_open_short({0.0, 53.1}, {0.0, -48.3}, 1.0);
    const cdouble load = far_end_impedance(std::array{line_chain(line, 1.0)}, {30.0, 60.0});
    return {{"Z0", line.z0_ohm.real()}, {"Re ZL", load.real()}, {"Im ZL", load.imag()}};
  }
  if (id == "M311") {
    const cdouble zin = z_in(lossless_line(50.0, 2e8 / speed_of_light_m_s, 26e6), 10.0, {100.0, 50.0}),
                  v = 100.0 * zin / (50.0 + zin);
    return {{"Re Zin", zin.real()}, {"Im Zin", zin.imag()}, {"|Vin|", std::abs(v)}, {"arg Vin", degrees(v)}};
  }
  if (id == "M313") return reflection_values({73.0, -42.5}, {50.0, 0.01});  // the z0 of the book's solution
  if (id == "M315") {
    Values v = reflection_values({50.0, 100.0}, 50.0);
    const LineConstants line = lossless_line(50.0, 1.0, 100e6);
    const cdouble zin = z_in(line, wavelength_m(line) / 4.0, {50.0, 100.0});
    v["Re Zin"] = zin.real();
    v["Im Zin"] = zin.imag();
    return v;
  }
  if (id == "P23") return reflection_values({80.0, -40.0}, 50.0);
  if (id == "G9A09") return reflection_values(200.0, 50.0);
  if (id == "G9A10") return reflection_values(10.0, 50.0);
  return {};
}

}  // namespace

// Four more published numbers were found to be wrong (a chart reading, a slip at mid-line, a rounded intermediate
// value); they are not tested, as agreeing with them would be an error.
TEST_CASE("published line examples") {
  const Table t = reference("line_examples.csv");
  std::size_t handled = 0;
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    const std::string id = t.text(r, "id"), quantity = t.text(r, "quantity");
    INFO(id << " " << quantity << " row " << r);
    const Values values = example(id, t.text(r, "problem").find("ZR=600") != std::string::npos);
    const auto value = values.find(quantity);
    REQUIRE(value != values.end());
    const double printed = t.number(r, "printed");
    // Exact ties (0.0575 printed 0.057) need room for rounding.
    const double tolerance = t.number(r, "tol_half_ulp") * (1.0 + 1e-12) + 1e-12 * std::abs(printed);
    INFO("computed " << value->second << " printed " << printed);
    CHECK(std::abs(value->second - printed) <= tolerance);
    ++handled;
  }
  CHECK(handled == t.rows.size());
  CHECK(handled == 95);
}

TEST_CASE("lossy lines against the matrix exponential") {
  const Table t = reference("line_vectors.csv");
  std::size_t handled = 0;
  for (std::size_t r = 0; r < t.rows.size(); ++r, ++handled) {
    const auto number = [&](const char* name) { return t.number(r, name); };
    const LineConstants line =
        line_from_rlgc({number("R_ohm_m"), number("L_H_m"), number("G_S_m"), number("C_F_m")}, number("f_hz"));
    const Chain chain = line_chain(line, number("length_m"));
    const cdouble load{number("zl_re"), number("zl_im")}, zin = input_impedance(std::array{chain}, load);
    const std::map<const char*, double> values{{"z0_re", line.z0_ohm.real()},
                                               {"z0_im", line.z0_ohm.imag()},
                                               {"alpha_Np_m", line.gamma_per_m.real()},
                                               {"beta_rad_m", line.gamma_per_m.imag()},
                                               {"A_re", chain.a.real()},
                                               {"A_im", chain.a.imag()},
                                               {"B_re", chain.b.real()},
                                               {"B_im", chain.b.imag()},
                                               {"C_re", chain.c.real()},
                                               {"C_im", chain.c.imag()},
                                               {"zin_re", zin.real()},
                                               {"zin_im", zin.imag()},
                                               {"total_loss_db", dissipation_loss_db(std::array{chain}, load)},
                                               {"matched_loss_db", attenuation_db_per_m(line) * number("length_m")}};
    for (const auto& [name, value] : values) {
      INFO(t.text(r, "id") << " " << name << " " << value);
      CHECK(std::abs(value - number(name)) <= 1e-12 * std::abs(number(name)));
    }
    CHECK(chain.d == chain.a);
  }
  CHECK(handled == 5);
}

TEST_CASE("a split line equals the whole") {
  Random random(22);
  double worst = 0.0;
  for (int k = 0; k < 10000; ++k) {
    const LineConstants line = line_from_rlgc({random.log_uniform(1e-3, 2.0), random.log_uniform(1e-7, 1e-6),
                                               random.log_uniform(1e-8, 1e-4), random.log_uniform(1e-11, 2e-10)},
                                              random.log_uniform(1.8e6, 30e6));
    const double length = random.log_uniform(0.01, 100.0), share = random.uniform(0.0, 1.0);
    const Chain whole = line_chain(line, length);
    const Chain split = cascade(line_chain(line, length * share), line_chain(line, length * (1.0 - share)));
    const cdouble z0 = line.z0_ohm;
    const double size = std::exp(line.gamma_per_m.real() * length) * (1.0 + std::abs(line.gamma_per_m) * length);
    worst = std::max({worst, std::abs(whole.a - split.a) / size, std::abs(whole.b - split.b) / std::abs(z0) / size,
                      std::abs(whole.c - split.c) * std::abs(z0) / size, std::abs(whole.d - split.d) / size,
                      std::abs(determinant(whole) - 1.0) / (size * size)});
  }
  INFO(worst);
  CHECK(worst <= 2e-15);
}

TEST_CASE("a short piece is its series impedance and shunt admittance") {
  const Rlgc c{0.4, 0.25e-6, 2e-6, 100e-12};
  const LineConstants line = line_from_rlgc(c, 7.1e6);
  const double w = two_pi * 7.1e6, length = 1e-9;
  const Chain piece = line_chain(line, length);
  CHECK(relative(piece.b, cdouble{c.r_ohm_m, w * c.l_h_m} * length) <= 1e-15);
  CHECK(relative(piece.c, cdouble{c.g_s_m, w * c.c_f_m} * length) <= 1e-15);
  const Chain none = line_chain(line, 0.0);
  CHECK((none.a == 1.0 && none.b == 0.0 && none.c == 0.0 && none.d == 1.0));
}

TEST_CASE("constants per metre come back from a line and from its open and shorted ends") {
  Random random(23);
  double worst = 0.0, worst_ends = 0.0;
  for (int k = 0; k < 10000; ++k) {
    const Rlgc c{random.log_uniform(1e-3, 2.0), random.log_uniform(1e-7, 1e-6), random.log_uniform(1e-8, 1e-4),
                 random.log_uniform(1e-11, 2e-10)};
    const double f = random.log_uniform(1.8e6, 30e6), w = two_pi * f;
    const LineConstants line = line_from_rlgc(c, f);
    const Rlgc back = rlgc_from_line(line, f);
    const cdouble z{c.r_ohm_m, w * c.l_h_m}, y{c.g_s_m, w * c.c_f_m};
    worst = std::max({worst, relative({back.r_ohm_m, w * back.l_h_m}, z), relative({back.g_s_m, w * back.c_f_m}, y)});
    const double length = random.uniform(0.05, 0.45) * wavelength_m(line);  // below half a wave, both signs of tan
    if (std::abs(length / wavelength_m(line) - 0.25) < 0.02) continue;      // near a quarter wave Zs or Zo runs away
    const Chain chain = line_chain(line, length);
    const LineConstants found = line_from_open_short(chain.b / chain.d, chain.a / chain.c, length);
    worst_ends =
        std::max({worst_ends, relative(found.z0_ohm, line.z0_ohm), relative(found.gamma_per_m, line.gamma_per_m)});
  }
  INFO(worst << " " << worst_ends);
  CHECK(worst <= 2e-15);
  CHECK(worst_ends <= 1e-14);
}

TEST_CASE("a lossless line from its ends on both sides of a quarter wave") {
  // tan^2 alone leaves the sign open, and with no loss only the rounding of a zero would decide: z0 must.
  for (double share : {0.05, 0.125, 0.2, 0.3, 0.375, 0.45}) {
    for (double zero : {0.0, -0.0}) {
      const double tangent = std::tan(two_pi * share);
      const LineConstants line = line_from_open_short({zero, 50.0 * tangent}, {0.0, -50.0 / tangent}, 2.0);
      INFO(share << " " << zero);
      CHECK(relative(line.z0_ohm, 50.0) <= 1e-15);
      CHECK(relative(line.gamma_per_m, {0.0, two_pi * share / 2.0}) <= 1e-14);
    }
  }
}

TEST_CASE("attenuation keeps its digits far below beta") {
  const LineConstants line = line_from_rlgc({1e-9, 0.25e-6, 0.0, 100e-12}, 7.1e6);
  CHECK(std::abs(line.gamma_per_m.real() / (1e-9 / (2.0 * 50.0)) - 1.0) <= 1e-14);
  CHECK(line_from_rlgc({0.0, 0.25e-6, 0.0, 100e-12}, 7.1e6).gamma_per_m.real() == 0.0);
}

TEST_CASE("lines refuse values out of range") {
  CHECK_THROWS_AS(line_from_rlgc({-1.0, 1e-7, 0.0, 1e-10}, 1e6), DomainError);
  CHECK_THROWS_AS(line_from_rlgc({0.0, 0.0, 0.0, 1e-10}, 1e6), DomainError);
  CHECK_THROWS_AS(line_from_rlgc({0.0, 1e-7, 0.0, 0.0}, 1e6), DomainError);
  CHECK_THROWS_AS(line_from_rlgc({0.0, 1e-7, not_a_number, 1e-10}, 1e6), DomainError);
  CHECK_THROWS_AS(line_from_rlgc({0.0, 1e-7, 0.0, 1e-10}, 0.0), DomainError);
  CHECK_THROWS_AS(lossless_line(50.0, 1.01, 1e6), DomainError);
  CHECK_THROWS_AS(lossless_line(0.0, 0.66, 1e6), DomainError);
  CHECK_THROWS_AS(coaxial_line(2e-3, 2e-3, 2.3), DomainError);
  CHECK_THROWS_AS(coaxial_line(1e-3, 2e-3, 0.9), DomainError);
  const LineConstants line = lossless_line(50.0, 0.66, 7.1e6);
  CHECK_THROWS_AS(line_chain(line, -1.0), DomainError);
  CHECK_THROWS_AS(line_chain(line, infinite), DomainError);
  CHECK_THROWS_AS(line_chain({50.0, {-1e-3, 0.1}}, 1.0), DomainError);
  CHECK_THROWS_AS(line_chain({{0.0, 50.0}, {0.0, 0.1}}, 1.0), DomainError);
  CHECK_THROWS_AS(line_chain({50.0, {1.0, 0.1}}, 1000.0), DomainError);  // 8686 dB
  CHECK_THROWS_AS(rlgc_from_line({-50.0, {0.0, 0.1}}, 1e6), DomainError);
  CHECK_THROWS_AS(rlgc_from_line({50.0, {0.0, 0.1}}, not_a_number), DomainError);
  CHECK_THROWS_AS(line_from_open_short(0.0, 50.0, 1.0), DomainError);
  CHECK_THROWS_AS(line_from_open_short({0.0, 53.1}, {0.0, -48.3}, 0.0), DomainError);
  CHECK_THROWS_AS(line_from_open_short({0.0, 53.1}, {0.0, 48.3}, 1.0), DomainError);     // both inductive: z0 imaginary
  CHECK_THROWS_AS(line_from_open_short({-2.0, 53.1}, {-2.0, -48.3}, 1.0), DomainError);  // gain
  CHECK_THROWS_AS(line_from_open_short(50.0, 50.0, 1.0), DomainError);                   // the far end is not seen
  CHECK_THROWS_AS(wavelength_m({50.0, 0.1}), DomainError);
  CHECK_THROWS_AS(phase_velocity_m_s({50.0, 0.1}, 1e6), DomainError);
  CHECK_THROWS_AS(phase_velocity_m_s(line, -1.0), DomainError);
  CHECK_THROWS_AS(total_loss_db(-0.1, 2.0), DomainError);
  CHECK_THROWS_AS(total_loss_db(1.0, 0.9), DomainError);
  CHECK_THROWS_AS(total_loss_db(1.0, infinite), DomainError);
  CHECK_THROWS_AS(swr_at_input(not_a_number, 2.0), DomainError);
}
