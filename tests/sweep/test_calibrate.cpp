#include <algorithm>
#include <array>

#include <catch2/catch.hpp>

#include <stile/sweep/calibrate.hpp>
#include <stile/sweep/detail/soil_search.hpp>
#include <stile/wire/sweep.hpp>

#include "sweep/synthetic.hpp"

using namespace stile;
using namespace stile::sweep;
using namespace stile::sweep::test;
using Catch::Matchers::Contains;

namespace {

// The ground by its complex image: what is tested here is the search, and both sides use the same model.
wire::SolveOptions fast() {
  wire::SolveOptions options;
  options.method = wire::GroundMethod::complex_image;
  return options;
}

wire::WireCase whip(const std::string& name, double wire_height_m, double permittivity, double conductivity,
                    double stray_f, double factor = 1.0) {
  wire::WireCase c;
  c.name = name;
  c.antenna.wires.push_back({"whip", {{0, 0, 1.0}, {0, 0, 4.0}}, 0.002, {}, 1.0, {}});
  c.antenna.wires.push_back({"counterpoise",
                             {{0, 0, 1.0}, {1.0 * factor, 0, wire_height_m}, {6.5 * factor, 0, wire_height_m}},
                             0.001,
                             {},
                             1.0,
                             {}});
  c.antenna.feed.base_capacitance_f = stray_f;
  c.ground = wire::lossy_ground(permittivity, conductivity);
  return c;
}

const std::vector<double>& frequencies() {
  static const std::vector<double> f = [] {
    std::vector<double> all = steps(5.2e6, 5.4e6, 4);
    for (const double more : steps(7.0e6, 7.2e6, 4)) all.push_back(more);
    for (const double more : steps(14.0e6, 14.3e6, 4)) all.push_back(more);
    return all;
  }();
  return f;
}

std::vector<cdouble> impedances(const wire::WireCase& c) {
  std::vector<cdouble> z;
  for (const wire::AntennaSolution& s : wire::sweep_antenna(c.antenna, c.ground, frequencies(), fast()))
    z.push_back(s.feed_ohm);
  return z;
}

/// The antenna's impedance over all soils: polynomials in the logarithms of permittivity - 1 and of conductivity,
/// through solutions at Chebyshev's points; beyond 2..80 and 0.1..100 mS/m as at the edge.
class Soils {
public:
  Soils(wire::WireCase drawn, const std::vector<double>& f) {
    wire::SolveOptions coarse = fast();
    coarse.fineness = 0.25;
    for (std::size_t a = 0; a < count; ++a)
      for (std::size_t b = 0; b < count; ++b) {
        const wire::Ground soil = wire::lossy_ground(1.0 + std::exp(from[0] + (to[0] - from[0]) * place(a)),
                                                     std::exp(from[1] + (to[1] - from[1]) * place(b)));
        std::vector<cdouble> z;
        for (const wire::AntennaSolution& s : wire::sweep_antenna(drawn.antenna, soil, f, coarse))
          z.push_back(s.antenna_ohm);
        z_.push_back(z);
      }
  }
  std::vector<cdouble> at(double permittivity, double conductivity) const {
    const std::array<double, count> p = weights(std::log(permittivity - 1.0), 0),
                                    q = weights(std::log(conductivity), 1);
    std::vector<cdouble> z(z_.front().size());
    for (std::size_t a = 0; a < count; ++a)
      for (std::size_t b = 0; b < count; ++b)
        for (std::size_t i = 0; i < z.size(); ++i) z[i] += p[a] * q[b] * z_[a * count + b][i];
    return z;
  }

private:
  static constexpr std::size_t count = 14;
  static constexpr std::array<double, 2> from{0.0, -9.21034}, to{4.36945, -2.302585};
  static double place(std::size_t k) { return 0.5 - 0.5 * std::cos(pi * (static_cast<double>(k) + 0.5) / count); }
  /// Of Lagrange, by the barycentric formula.
  static std::array<double, count> weights(double logarithm, std::size_t axis) {
    const double x = std::clamp((logarithm - from[axis]) / (to[axis] - from[axis]), 0.0, 1.0);
    std::array<double, count> w{};
    double sum = 0.0;
    for (std::size_t k = 0; k < count; ++k) {
      if (std::abs(x - place(k)) < 1e-12) {
        w.fill(0.0);
        w[k] = 1.0;
        return w;
      }
      w[k] = (k % 2 == 0 ? 1.0 : -1.0) * std::sin(pi * (static_cast<double>(k) + 0.5) / count) / (x - place(k));
      sum += w[k];
    }
    for (double& each : w) each /= sum;
    return w;
  }
  std::vector<std::vector<cdouble>> z_;
};

OnePort noisy(const std::vector<cdouble>& z, double noise, unsigned seed) {
  std::size_t i = 0;
  Sweep sweep = measured(
      frequencies(), [&](double) { return z[i++]; }, noise, seed);
  JudgeOptions options;
  options.instrument_error = noise;
  return port_of(sweep, options);
}

}  // namespace

TEST_CASE("soil under two conditions and a stray capacitance come back within their uncertainty") {
  const std::vector<wire::WireCase> truth{whip("dry", 0.05, 6.0, 1.5e-3, 8e-12), whip("wet", 0.02, 22.0, 9e-3, 8e-12)};
  const std::vector<wire::WireCase> drawn{whip("dry", 0.05, 13.0, 5e-3, 0.0), whip("wet", 0.02, 13.0, 5e-3, 0.0)};
  const auto dry = impedances(truth[0]), wet = impedances(truth[1]);
  CalibrateOptions options;
  options.solve = fast();
  int inside = 0, all = 0;
  for (unsigned trial = 0; trial < 3; ++trial) {
    const Calibration c =
        calibrate(drawn, {{"dry", noisy(dry, 2e-4, 10 + trial)}, {"wet", noisy(wet, 2e-4, 50 + trial)}}, options);
    INFO("trial " << trial << ": " << c.why);
    REQUIRE(c.status == FitStatus::fitted);
    REQUIRE(c.conditions.size() == 2);
    const auto check = [&](const Uncertain& found, double value) {
      ++all;
      inside += std::abs(found.value - value) <= found.uncertainty;
    };
    check(c.conditions[0].relative_permittivity, 6.0);
    check(c.conditions[0].conductivity_s_m, 1.5e-3);
    check(c.conditions[1].relative_permittivity, 22.0);
    check(c.conditions[1].conductivity_s_m, 9e-3);
    check(c.base_capacitance_f, 8e-12);
    CHECK(c.conditions[0].misfit < 1e-3);
    CHECK(c.conditions[0].misfit_drawn > 10.0 * c.conditions[0].misfit);
    CHECK(c.cases[1].ground.conductivity_s_m == c.conditions[1].conductivity_s_m.value);
    CHECK(c.cases[0].antenna.feed.base_capacitance_f == c.base_capacitance_f.value);
  }
  CHECK(all == 15);
  CHECK(inside >= 12);  // 14 of 15 expected; fewer than 12 has a chance of 1 in 200
}

TEST_CASE("of 400 noisy sweeps 95 +- 3 % hold soil and stray within the uncertainty") {
  // Two bands of three points. The search is tested, and both sides use the same model: the antenna's impedance over
  // all soils as polynomials through solutions, since 400 searches by the solver itself take minutes.
  std::vector<double> f = steps(6.9e6, 7.3e6, 3);
  for (const double more : steps(13.9e6, 14.5e6, 3)) f.push_back(more);
  const Soils soils(whip("wet", 0.02, 22.0, 9e-3, 0.0), f);
  const auto solved = [&](const wire::WireCase&, double permittivity, double conductivity, const std::vector<double>&) {
    return soils.at(permittivity, conductivity);
  };
  const std::vector<cdouble> bare = soils.at(22.0, 9e-3);
  CalibrateOptions options;
  std::array<int, 3> inside{};
  constexpr unsigned trials = 400;
  for (unsigned trial = 0; trial < trials; ++trial) {
    std::size_t i = 0;
    const OnePort port = port_of(measured(
        f, [&](double hz) { return 1.0 / (1.0 / bare[i++] + cdouble(0.0, two_pi * hz * 8e-12)); }, 1e-4, 900 + trial));
    const Calibration c =
        detail::calibrate_with(solved, {whip("wet", 0.02, 13.0, 5e-3, 0.0)}, {{"wet", port}}, options, {});
    INFO("trial " << trial << ": " << c.why);
    REQUIRE(c.status == FitStatus::fitted);
    const auto holds = [](const Uncertain& found, double value) {
      return std::abs(found.value - value) <= found.uncertainty ? 1 : 0;
    };
    inside[0] += holds(c.conditions[0].relative_permittivity, 22.0);
    inside[1] += holds(c.conditions[0].conductivity_s_m, 9e-3);
    inside[2] += holds(c.base_capacitance_f, 8e-12);
  }
  for (const int count : inside) {
    CHECK(count >= 368);
    CHECK(count <= 392);
  }
}

TEST_CASE("the polynomials over soils that stand for the solver in these tests are it to 0.3 %") {
  std::vector<double> f{7e6, 14.2e6};
  const wire::WireCase drawn = whip("wet", 0.02, 22.0, 9e-3, 0.0);
  const std::vector<cdouble> z = Soils(drawn, f).at(22.0, 9e-3);
  wire::SolveOptions coarse = fast();
  coarse.fineness = 0.25;
  const auto solved = wire::sweep_antenna(drawn.antenna, drawn.ground, f, coarse);
  for (std::size_t i = 0; i < f.size(); ++i)
    CHECK(std::abs(z[i] - solved[i].antenna_ohm) <= 3e-3 * std::abs(solved[i].antenna_ohm));
}

TEST_CASE("a band held back is foretold better than as drawn") {
  const wire::WireCase truth = whip("wet", 0.02, 22.0, 9e-3, 8e-12);
  CalibrateOptions options;
  options.solve = fast();
  options.held_back = {{13e6, 15e6}};
  const Calibration c =
      calibrate({whip("wet", 0.02, 13.0, 3e-3, 0.0)}, {{"wet", noisy(impedances(truth), 2e-5, 3)}}, options);
  INFO(c.why);
  REQUIRE(c.status == FitStatus::fitted);
  CHECK(c.conditions[0].held_back_drawn > 0.0);
  CHECK(c.conditions[0].held_back < 0.2 * c.conditions[0].held_back_drawn);
}

TEST_CASE("an effective length of the counterpoise comes back too") {
  const wire::WireCase truth = whip("wet", 0.02, 22.0, 9e-3, 8e-12, 0.93);
  CalibrateOptions options;
  options.solve = fast();
  options.stretched = [](double factor) {
    return std::vector<wire::WireCase>{whip("wet", 0.02, 13.0, 3e-3, 0.0, factor)};
  };
  const Calibration c =
      calibrate({whip("wet", 0.02, 13.0, 3e-3, 0.0)}, {{"wet", noisy(impedances(truth), 2e-5, 6)}}, options);
  INFO(c.why);
  REQUIRE(c.status == FitStatus::fitted);
  CHECK(std::abs(c.counterpoise_factor.value - 0.93) <= 2.0 * c.counterpoise_factor.uncertainty);
  CHECK(c.counterpoise_factor.uncertainty < 0.02);
  CHECK(c.cases[0].antenna.wires[1].points[2].x_m == Approx(6.5 * c.counterpoise_factor.value).epsilon(1e-12));
}

TEST_CASE("a point whose uncertainty is not known makes all points weigh alike") {
  const wire::WireCase dry = whip("dry", 0.05, 6.0, 1.5e-3, 8e-12), wet = whip("wet", 0.02, 22.0, 9e-3, 8e-12);
  OnePort known = noisy(impedances(dry), 2e-4, 1), unknown = noisy(impedances(wet), 2e-4, 2);
  CalibrateOptions options;
  options.solve = fast();
  options.points = 4;
  const auto same = [&](double first, double second) {
    for (double& u : known.uncertainty_ohm) u = first;
    for (double& u : unknown.uncertainty_ohm) u = second;
    return calibrate({whip("dry", 0.05, 13.0, 5e-3, 0.0), whip("wet", 0.02, 13.0, 5e-3, 0.0)},
                     {{"dry", known}, {"wet", unknown}}, options);
  };
  const Calibration a = same(1e-3, std::nan("")), b = same(std::nan(""), std::nan(""));
  CHECK(a.conditions[1].conductivity_s_m.value == b.conditions[1].conductivity_s_m.value);
  CHECK(a.conditions[1].misfit < 1e-3);
}

TEST_CASE("a stray capacitance that would be below 0 is 0, and the soil is sought again with it") {
  // The truth has less capacitance than what is drawn can have: a whip a little shorter.
  wire::WireCase shorter = whip("wet", 0.02, 22.0, 9e-3, 0.0);
  shorter.antenna.wires[0].points[1].z_m = 3.9;
  const OnePort port = noisy(impedances(shorter), 2e-5, 3);
  CalibrateOptions options;
  options.solve = fast();
  const Calibration c = calibrate({whip("wet", 0.02, 13.0, 3e-3, 5e-12)}, {{"wet", port}}, options);
  INFO(c.why);
  CHECK(c.base_capacitance_f.value == 0.0);
  CHECK(c.cases[0].antenna.feed.base_capacitance_f == 0.0);
  const bool said = std::any_of(c.notes.begin(), c.notes.end(), [](const std::string& note) {
    return note.find("is taken as 0: the rest was sought again") != std::string::npos;
  });
  CHECK(said);
  // What is written is what was fitted: the misfit is that of the cases.
  double squares = 0.0;
  const auto again = impedances(c.cases[0]);
  for (std::size_t i = 0; i < again.size(); ++i)
    squares += std::norm((again[i] - 50.0) / (again[i] + 50.0) - (port.z_ohm[i] - 50.0) / (port.z_ohm[i] + 50.0));
  CHECK(c.conditions[0].misfit == Approx(std::sqrt(squares / static_cast<double>(again.size()))).epsilon(1e-6));
  options.stray = false;
  const Calibration fixed = calibrate({whip("wet", 0.02, 13.0, 3e-3, 0.0)}, {{"wet", port}}, options);
  CHECK(c.conditions[0].conductivity_s_m.value == Approx(fixed.conditions[0].conductivity_s_m.value).epsilon(1e-6));
}

TEST_CASE("a wrong drawing is told by its misfit, and its uncertainties widen") {
  // Measured with a counterpoise 8 cm up, drawn with one at 2 cm.
  OnePort port = noisy(impedances(whip("wet", 0.08, 22.0, 9e-3, 8e-12)), 2e-4, 5);
  for (std::size_t i = 0; i < port.z_ohm.size(); ++i)
    port.uncertainty_ohm[i] = 2e-4 * std::norm(port.z_ohm[i] + 50.0) / 100.0;
  CalibrateOptions options;
  options.solve = fast();
  const Calibration right = calibrate({whip("wet", 0.08, 13.0, 3e-3, 0.0)}, {{"wet", port}}, options),
                    wrong = calibrate({whip("wet", 0.02, 13.0, 3e-3, 0.0)}, {{"wet", port}}, options);
  CHECK(right.notes.empty());
  CHECK(wrong.conditions[0].misfit > 5.0 * right.conditions[0].misfit);
  INFO(fit_status_name(wrong.status) << " " << wrong.why << " " << wrong.conditions[0].misfit << " "
                                     << wrong.base_capacitance_f.value);
  REQUIRE_FALSE(wrong.notes.empty());
  CHECK_THAT(wrong.notes.front(), Contains("times the stated uncertainty of the sweeps: the drawn antenna lacks"));
  CHECK(wrong.conditions[0].conductivity_s_m.uncertainty / wrong.conditions[0].conductivity_s_m.value >
        10.0 * right.conditions[0].conductivity_s_m.uncertainty / right.conditions[0].conductivity_s_m.value);
}

TEST_CASE("what the data cannot tell apart is named in pairs") {
  // One narrow band has two numbers, R and X, and their slopes: soil and stray trade places.
  const wire::WireCase truth = whip("wet", 0.02, 22.0, 9e-3, 8e-12);
  const auto z = impedances(truth);
  CalibrateOptions options;
  options.solve = fast();
  std::size_t i = 4;
  const Sweep sweep = measured(
      steps(7.0e6, 7.2e6, 4), [&](double) { return z[i++]; }, 1e-4, 4);
  const Calibration c = calibrate({whip("wet", 0.02, 13.0, 3e-3, 0.0)}, {{"wet", port_of(sweep)}}, options);
  CHECK(c.status == FitStatus::not_carried);
  CHECK_THAT(c.why, Contains("the data cannot tell apart: wet: relative permittivity and wet: conductivity") &&
                        Contains("the data cannot tell apart: wet: conductivity and stray capacitance"));
  CHECK(std::abs(c.correlation[0][1]) > 0.995);
}

TEST_CASE("behind two adapters the errors of two conditions are two, behind one adapter one") {
  // An invented antenna whose loss is like soil's surface impedance; an error that looks like 2 pF more.
  const auto solved = [](const wire::WireCase&, double permittivity, double conductivity,
                         const std::vector<double>& frequency_hz) {
    std::vector<cdouble> z;
    for (const double f : frequency_hz)
      z.push_back(cdouble(15.0, -600.0 + 1e-4 * (f - 7e6)) +
                  400.0 / std::sqrt(cdouble(permittivity, -conductivity / (two_pi * f * eps0_f_m))));
    return z;
  };
  const std::vector<wire::WireCase> drawn{whip("dry", 0.05, 13.0, 5e-3, 0.0), whip("wet", 0.02, 13.0, 5e-3, 0.0)};
  const std::vector<cdouble> bare = solved(drawn[0], 22.0, 9e-3, frequencies());
  const auto port = [&](unsigned seed, const std::vector<std::string>& errors) {
    std::size_t at = 0;
    OnePort p = port_of(measured(
        frequencies(), [&](double hz) { return 1.0 / (1.0 / bare[at++] + cdouble(0.0, two_pi * hz * 8e-12)); }, 1e-5,
        seed));
    for (const std::string& of : errors) {
      CommonError error{of, {}};
      for (std::size_t i = 0; i < p.z_ohm.size(); ++i)
        error.ohm.push_back(
            of == "nothing" ? 0.0 : cdouble(0.0, -two_pi * p.frequency_hz[i] * 2e-12) * p.z_ohm[i] * p.z_ohm[i]);
      p.common_ohm.push_back(error);
    }
    return p;
  };
  const auto stray = [&](const std::vector<std::string>& dry, const std::vector<std::string>& wet) {
    const Calibration c = detail::calibrate_with(solved, drawn, {{"dry", port(1, dry)}, {"wet", port(2, wet)}}, {}, {});
    INFO(c.why);
    CHECK(c.status == FitStatus::fitted);
    return c.base_capacitance_f.uncertainty;
  };
  const double one = stray({"adapter a"}, {"adapter a"});
  CHECK(one == Approx(1.96 * 2e-12).epsilon(0.05));
  CHECK(stray({"adapter a"}, {"adapter b"}) == Approx(one / std::sqrt(2.0)).epsilon(0.05));
  CHECK(stray({"adapter a"}, {}) == Approx(0.5 * one).epsilon(0.05));
  // Wherever the row stands.
  CHECK(stray({"nothing", "adapter a"}, {"adapter a"}) == Approx(one).epsilon(1e-6));
}

TEST_CASE("what the data cannot tell is said") {
  // One narrow band and much noise: two numbers of soil and a capacitance.
  const wire::WireCase truth = whip("wet", 0.02, 22.0, 9e-3, 8e-12);
  OnePort narrow = noisy(impedances(truth), 1e-2, 4);
  const auto keep = [&](auto& v) { v.erase(v.begin() + 8, v.end()), v.erase(v.begin(), v.begin() + 4); };
  keep(narrow.frequency_hz);
  keep(narrow.z_ohm);
  keep(narrow.uncertainty_ohm);
  keep(narrow.marked);
  keep(narrow.noise_ohm);
  for (auto& error : narrow.common_ohm) keep(error.ohm);
  CalibrateOptions options;
  options.solve = fast();
  const Calibration c = calibrate({whip("wet", 0.02, 13.0, 3e-3, 0.0)}, {{"wet", narrow}}, options);
  CHECK(c.status == FitStatus::not_carried);
  CHECK_THAT(c.why, Contains("wet: relative permittivity leaves no trace in the data"));
  CHECK_THROWS_WITH(calibrate({truth}, {{"dry", narrow}}, options), Contains("there are: wet"));
  options.held_back = {{1e6, 30e6}};
  CHECK_THROWS_WITH(calibrate({truth}, {{"wet", narrow}}, options), Contains("no points outside the bands held back"));
}
