#include <catch2/catch.hpp>

#include <boost/math/quadrature/gauss.hpp>
#include <boost/math/quadrature/tanh_sinh.hpp>

#include <stile/base/errors.hpp>
#include <stile/wire/closed_forms.hpp>
#include <stile/wire/lying_ground.hpp>
#include <stile/wire/solve.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::test;

TEST_CASE("sine and cosine integrals") {
  // Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, table 5.1, and their definition by quadrature.
  CHECK(std::abs(sine_integral(1.0) - 0.9460830703671830) <= 1e-15);
  CHECK(std::abs(cosine_integral(1.0) - 0.3374039229009681) <= 1e-15);
  using Rule = boost::math::quadrature::gauss<long double, 30>;
  for (const double x : {0.01, 0.1, 0.5, 1.0, 2.0, 3.9, 4.0, 4.1, 5.0, 6.0, 9.5, 20.0, 50.0, 100.0}) {
    const int panels = static_cast<int>(std::ceil(x));
    const long double width = static_cast<long double>(x) / panels;
    // Euler's constant: Abramowitz and Stegun, table 1.1.
    long double si = 0.0L, ci = 0.577215664901532860606512090082402431L + std::log(static_cast<long double>(x));
    for (int n = 0; n < panels; ++n) {
      si += Rule::integrate([](long double t) { return std::sin(t) / t; }, n * width, (n + 1) * width);
      ci += Rule::integrate([](long double t) { return -2.0L * std::sin(0.5L * t) * std::sin(0.5L * t) / t; },
                            n * width, (n + 1) * width);
    }
    INFO("x " << x);
    CHECK(std::abs(static_cast<double>(static_cast<long double>(sine_integral(x)) - si)) <= 1e-14);
    CHECK(std::abs(static_cast<double>(static_cast<long double>(cosine_integral(x)) - ci)) <= 1e-14);
  }
  CHECK(sine_integral(0.0) == 0.0);
  CHECK_THROWS_AS(cosine_integral(0.0), DomainError);
  CHECK_THROWS_AS(sine_integral(-1.0), DomainError);
}

TEST_CASE("half-wave dipole with one sinusoidal function") {
  const double f = 10e6, quarter = 0.25 * speed_of_light_m_s / f;
  const cdouble z = dipole_impedance_ohm(quarter, 1e-6 * quarter, f);
  CHECK(std::abs(z.real() - 73.07901) <= 5e-6);
  CHECK(std::abs(z.imag() - 42.51511) <= 1e-5);
}

TEST_CASE("dipole with a sinusoidal current beside the solver") {
  const double f = 10e6, k = two_pi * f / speed_of_light_m_s;
  for (const double slenderness : {500.0, 2000.0, 10000.0}) {
    const auto both = [&](double kl) {
      const double l = kl / k, a = l / slenderness;
      return std::pair{dipole_impedance_ohm(l, a, f), solve_antenna(dipole(l, a, 0.01 * l), free_space(), f).feed_ohm};
    };
    const auto off = [](cdouble z, cdouble solved) { return std::abs(z - solved) / std::abs(solved); };
    for (const double kl : {0.05, 0.2, 0.4, 0.69}) {
      const auto [z, solved] = both(kl);
      INFO("l/a " << slenderness << " k l " << kl << " " << z << " " << solved);
      CHECK(z.real() >= 1.02 * solved.real());
      CHECK(z.real() <= 1.12 * solved.real());
      CHECK(off(z, solved) <= 0.03);
    }
    const auto [half_wave, half_wave_solved] = both(0.5 * pi);
    CHECK(half_wave.real() <= 0.94 * half_wave_solved.real());
    CHECK(half_wave.real() >= 0.87 * half_wave_solved.real());
    for (const double kl : {0.8 * pi, 0.95 * pi, 1.05 * pi, 1.2 * pi}) {
      const auto [z, solved] = both(kl);
      INFO("l/a " << slenderness << " k l " << kl << " " << z << " " << solved);
      CHECK(off(z, solved) >= 0.14);
      CHECK(off(z, solved) <= 10.0);
    }
  }
}

TEST_CASE("induced EMF rows") {
  const Table t = reference("induced_emf.csv");
  const double f = 10e6, k = two_pi * f / speed_of_light_m_s, ratio = 120.0 * pi / eta0_ohm;
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    const double kl = t.number(r, "kl"), l = kl / k, a = 1e-6 * l;
    const cdouble z = ratio * dipole_impedance_ohm(l, a, f);
    INFO("kl " << kl << " " << z);
    CHECK(std::abs(z.real() - t.number(r, "r_ohm")) <= 6e-4);
    const double line = 120.0 * (std::log(l / a) - 1.0) / std::tan(kl);
    CHECK(std::abs(z.imag() + line - t.number(r, "x_ohm")) <= 6e-4);
  }
}

TEST_CASE("mutual impedance of half-wave dipoles against its integral and the rows over perfect ground") {
  const double f = 10e6, k = two_pi * f / speed_of_light_m_s, l = 0.5 * pi / k;
  for (const double d : {0.1, 0.25, 0.5, 1.0, 2.0}) {
    const double distance = d * two_pi / k;
    // Field of a sinusoidal half wave on a parallel one: j 30 (e^{-jkR1}/R1 + e^{-jkR2}/R2), weighted with its current.
    boost::math::quadrature::tanh_sinh<double> rule;
    const auto part = [&](bool real) {
      return rule.integrate(
          [&](double z) {
            const double r1 = std::hypot(distance, z - l), r2 = std::hypot(distance, z + l);
            const cdouble field =
                cdouble(0.0, eta0_ohm / (4.0 * pi)) * (std::polar(1.0 / r1, -k * r1) + std::polar(1.0 / r2, -k * r2));
            return (real ? field.real() : field.imag()) * std::cos(k * z);
          },
          -l, l, 1e-12);
    };
    const cdouble z = half_wave_mutual_ohm(distance, f);
    INFO("distance " << d << " " << z);
    CHECK(std::abs(z - cdouble(part(true), part(false))) <= 1e-8 * std::abs(z));
  }
  const Table t = reference("study_dipole_height.csv");
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    const double h = t.number(r, "h_over_lambda") * two_pi / k;
    const double resistance = dipole_loop_impedance_ohm(l, 1e-6, f).real() - half_wave_mutual_ohm(2.0 * h, f).real();
    CHECK(std::abs(resistance - t.number(r, "R_pec_sinusoidal_closed_form")) <= 0.006);
  }
}

TEST_CASE("short whip in closed form beside the solver") {
  for (const double f : {3.5e6, 7e6, 10e6}) {
    const cdouble solved = solve_antenna(monopole(2.4, 0.002), perfect_ground(), f).feed_ohm;
    const cdouble guess = short_monopole_ohm(2.4, 0.002, f);
    CHECK(guess.real() > 1.03 * solved.real());
    CHECK(guess.real() < 1.09 * solved.real());
    CHECK(std::abs(guess.imag() / solved.imag() - 1.0) < 0.03);
  }
  CHECK(std::abs(short_monopole_ohm(2.4, 0.002, 3.5e6).imag() + 2054.0) < 1.0);
  CHECK(std::abs(short_monopole_ohm(2.4, 0.002, 14e6).imag() + 430.1) < 0.1);  // 60 (ln 1200 - 1)/tan 0.7042
  CHECK_THROWS_AS(short_monopole_ohm(20.0, 0.002, 14e6), DomainError);
}

TEST_CASE("off-centre coil in closed form beside the reference rows") {
  const Table t = reference("study_coil_position.csv");
  const double f = 7e6, wavelength = speed_of_light_m_s / f;
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    const double h = wavelength * t.number(r, "h_over_lambda"), place = t.number(r, "coil_pos_fraction");
    if (place > 0.7) continue;
    const double x = off_centre_coil_ohm(h, h / 500.0, place * h, f);
    INFO("h " << t.text(r, "h_over_lambda") << " place " << place << " " << x);
    CHECK(std::abs(x / t.number(r, "X_L_resonant") - 1.0) < (t.number(r, "h_over_lambda") > 0.1 ? 0.22 : 0.16));
  }
}

TEST_CASE("trailing wire as a line") {
  const Table t = reference("trailing_wire.csv");
  const double f = 7e6, k0 = two_pi * f / speed_of_light_m_s;
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    const WireLine line = trailing_wire_line(ground_by_name(t.text(r, "ground")), t.number(r, "height_m"), 0.001, f);
    INFO(t.text(r, "ground") << " " << line.propagation_per_m / k0 << " " << line.characteristic_ohm);
    CHECK(std::abs(line.propagation_per_m.real() / k0 - t.number(r, "alpha")) <= 6e-4);
    CHECK(std::abs(line.propagation_per_m.imag() / k0 - t.number(r, "beta")) <= 1.1e-3);
    CHECK(std::abs(line.characteristic_ohm.real() - t.number(r, "zc_re_ohm")) <= 0.6);
    CHECK(std::abs(line.characteristic_ohm.imag() - t.number(r, "zc_im_ohm")) <= 0.6);
    CHECK(std::abs(line.propagation_per_m.imag() / k0 / t.number(r, "mom_beta") - 1.0) <= 0.03);
    CHECK(std::abs(line.propagation_per_m.real() / k0 / t.number(r, "mom_alpha") - 1.0) <= 0.25);
  }
  const WireLine line = trailing_wire_line(ground_by_name("wet"), 0.05, 0.001, f);
  CHECK(std::abs(trailing_wire_ohm(line, 1e5) - line.characteristic_ohm) < 1e-9);  // a very long wire
  CHECK_THROWS_AS(trailing_wire_line(perfect_ground(), 0.05, 0.001, f), DomainError);
  CHECK_THROWS_AS(trailing_wire_line(ground_by_name("wet"), 0.001, 0.001, f), DomainError);
}

TEST_CASE(
    "the quarter wave of a wire that lies is that of printed dragged wires within 6 percent, and its lengths to avoid "
    "are around its half wave") {
  const Table printed = reference("trailing_counterpoise.csv");
  REQUIRE(printed.rows.size() == 10);
  WireCase wires;
  wires.ground = lossy_ground(13.0, 5e-3);
  const auto add = [&](const std::string& name, std::vector<Vec3> points) {
    Wire wire;
    wire.name = name;
    wire.points = std::move(points);
    wire.radius_m = 0.0005;
    wires.antenna.wires.push_back(std::move(wire));
  };
  add("whip", {{0.0, 0.0, 1.2}, {0.0, 0.0, 4.2}});
  add("tail", {{0.0, 0.0, 1.2}, {1.2, 0.0, 0.02}, {6.0, 0.0, 0.02}});
  add("raised", {{0.0, 0.0, 1.2}, {0.0, 6.0, 1.2}});
  for (std::size_t r = 0; r < 10; ++r) {
    const double f = 1e6 * printed.number(r, "assumed_f_MHz");
    INFO(printed.text(r, "band"));
    const std::vector<LyingWire> all = lying_wires(wires, f);
    REQUIRE(all.size() == 1);
    const LyingWire& w = all.front();
    CHECK(w.name == "tail");
    CHECK(w.height_m == 0.02);
    CHECK(w.length_m == Approx(std::hypot(1.2, 1.18) + 4.8).epsilon(1e-12));
    CHECK(w.velocity == velocity_along_ground(wires.ground, 0.02, 0.0005, f));
    CHECK(w.quarter_wave_m == Approx(w.velocity * 0.25 * speed_of_light_m_s / f).epsilon(1e-12));
    CHECK(std::abs(w.quarter_wave_m / printed.number(r, "length_m") - 1.0) <= 0.06);
    const bool shown = 0.9 * 2.0 * w.quarter_wave_m < longest_avoided_m;
    REQUIRE(w.avoid_m.empty() != shown);
    if (shown) CHECK(w.avoid_m.front().low == Approx(0.9 * 2.0 * w.quarter_wave_m).epsilon(1e-12));
  }
  wires.ground = perfect_ground();
  CHECK(lying_wires(wires, 7e6).empty());
}

TEST_CASE("wire lengths to avoid") {
  const std::vector<Range> ranges = lengths_to_avoid(7.0e6, 7.2e6, 1.0, 50.0, 0.1);
  REQUIRE(ranges.size() == 2);
  CHECK(std::abs(ranges[0].low - 0.9 * 0.5 * speed_of_light_m_s / 7.2e6) < 1e-9);
  CHECK(std::abs(ranges[0].high - 1.1 * 0.5 * speed_of_light_m_s / 7.0e6) < 1e-9);
  CHECK(lengths_to_avoid(7.0e6, 7.2e6, 1.0, 10.0).empty());
  // 6.7 m at 21 MHz: kilohms, as the solver says too.
  const std::vector<Range> high = lengths_to_avoid(21.0e6, 21.45e6, 0.97, 7.0);
  REQUIRE(high.size() == 1);
  CHECK(high[0].low < 6.7);
  CHECK(high[0].high > 6.7);
  CHECK(std::abs(quarter_wave_rule_m(7.1e6) - 10.03) < 0.01);
  // Outside the solver's frequencies there would be ranges without number.
  for (const auto& [low, bad] : {std::pair{1e6, 1e300}, std::pair{1e-300, 7e6}, std::pair{7.2e6, 7.0e6}}) {
    CHECK_THROWS_WITH(lengths_to_avoid(low, bad, 1.0, 50.0), Catch::Matchers::Contains("1e5"));
  }
}
