#include <algorithm>
#include <array>
#include <map>

#include <catch2/catch.hpp>

#include <stile/base/table.hpp>
#include <stile/load/load.hpp>
#include <stile/sweep/detail/least_squares.hpp>
#include <stile/sweep/fit.hpp>

#include "sweep/synthetic.hpp"

using namespace stile;
using namespace stile::sweep;
using namespace stile::sweep::test;
using Catch::Matchers::Contains;

namespace {

struct Case {
  Model model;
  std::vector<double> truth;
  std::vector<double> frequency_hz;
  double noise;
};

const std::vector<Case> cases{
    {Model::series_rlc, {12.0, 20e-6, 25e-12}, steps(6.6e6, 7.6e6, 101), 2e-3},
    {Model::parallel_rlc, {800.0, 2e-6, 100e-12}, steps(8e6, 15e6, 101), 2e-3},
    {Model::coil, {2.8e-6, 60.0, 3e-12, 0.4}, steps(5e6, 40e6, 141), 1e-3},
    {Model::antenna, {14.0, 22.0, 14e-6, 40e-12}, steps(4e6, 10e6, 121), 1e-3},
    {Model::quarter_wave, {7.1e6, 420.0, 30.0, 18.0}, steps(4e6, 10e6, 121), 1e-3},
};

Sweep sweep_of(const Case& c, double noise, unsigned seed) {
  const double f0 = std::sqrt(c.frequency_hz.front() * c.frequency_hz.back());
  return measured(
      c.frequency_hz, [&](double f) { return model_impedance(c.model, c.truth, f0, f); }, noise, seed);
}

}  // namespace

TEST_CASE("without noise a fit gives the parameters back to 1e-6") {
  for (const Case& c : cases) {
    const Fit f = fit(port_of(sweep_of(c, 0.0, 1)), c.model);
    INFO(model_name(c.model) << ": " << f.why);
    REQUIRE(f.status == FitStatus::fitted);
    REQUIRE(f.parameters.size() == c.truth.size());
    for (std::size_t k = 0; k < c.truth.size(); ++k) {
      INFO(f.parameters[k].name);
      CHECK(f.parameters[k].value == Approx(c.truth[k]).epsilon(1e-6));
    }
    CHECK(f.residual_rms_ohm <= 1e-4);
    CHECK(model_of_name(model_name(c.model)) == c.model);
  }
}

TEST_CASE("of 400 noisy sweeps of each model 95 +- 3 % hold the true value within the stated uncertainty") {
  for (const Case& c : cases) {
    std::map<std::string, int> inside;
    for (unsigned trial = 0; trial < 400; ++trial) {
      const Fit f = fit(port_of(sweep_of(c, c.noise, 1000 + trial)), c.model);
      INFO(model_name(c.model) << " trial " << trial << ": " << f.why);
      REQUIRE(f.status == FitStatus::fitted);
      for (std::size_t k = 0; k < c.truth.size(); ++k)
        inside[f.parameters[k].name] += std::abs(f.parameters[k].value - c.truth[k]) <= f.parameters[k].uncertainty;
    }
    for (const auto& [name, count] : inside) {
      INFO(model_name(c.model) << " " << name);
      CHECK(count >= 368);
      CHECK(count <= 392);
    }
  }
}

TEST_CASE("equivalent circuits agree with a circuit simulator to 1e-7") {
  const Table rows = read_table(read_text_file(std::string(STILE_TEST_DATA) + "/sweep/equivalent_circuits.csv"),
                                "equivalent_circuits.csv");
  REQUIRE(rows.rows.size() == 15);
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    const double f = rows.number(i, "frequency_hz");
    const std::string& circuit = rows.text(i, "circuit");
    cdouble z;
    if (circuit == "series") z = model_impedance(Model::series_rlc, {12.0, 20e-6, 25e-12}, f, f);
    if (circuit == "parallel") z = model_impedance(Model::parallel_rlc, {1000.0, 2e-6, 100e-12}, f, f);
    // 4 ohm at every frequency: Q at f0 = f.
    if (circuit == "coil") z = model_impedance(Model::coil, {20e-6, two_pi * f * 20e-6 / 4.0, 3e-12, 1.0}, f, f);
    const cdouble expected(rows.number(i, "r_ohm"), rows.number(i, "x_ohm"));
    INFO(circuit << " at " << f);
    CHECK(std::abs(z - expected) <= 1e-7 * std::abs(expected));
  }
}

TEST_CASE("the antenna's model is the whip of the load room") {
  load::Load whip;
  whip.model = load::WhipModel{14.0, 7e6, 40e-12, 14e-6, 22.0, 0.0, 0.0};
  for (const double f : {3e6, 7e6, 20e6}) {
    const cdouble a = model_impedance(Model::antenna, {14.0, 22.0, 14e-6, 40e-12}, 7e6, f);
    CHECK(std::abs(a - load::load_impedance(whip, f)) <= 1e-12 * std::abs(a));
  }
}

TEST_CASE("a model that the data do not carry is refused, and the parameter named") {
  // Twenty kilohertz: radiation and ground resistance leave the same trace.
  const auto z = [](double f) { return model_impedance(Model::antenna, {14.0, 22.0, 14e-6, 40e-12}, 7e6, f); };
  const Fit narrow = fit(port_of(measured(steps(7.08e6, 7.1e6, 41), z, 3e-3)), Model::antenna);
  CHECK(narrow.status == FitStatus::not_carried);
  CHECK_THAT(narrow.why, Contains("radiation_ohm") && Contains("ground_ohm"));
  // A coil far below its resonance says nothing of its capacitance.
  const auto coil = [](double f) { return model_impedance(Model::coil, {2.8e-6, 60.0, 1e-12, 0.5}, 1e6, f); };
  const Fit low = fit(port_of(measured(steps(0.5e6, 2e6, 61), coil, 1e-3)), Model::coil);
  CHECK(low.status == FitStatus::not_carried);
  CHECK_THAT(low.why, Contains("self_capacitance_f"));
  // Four resonances of a long line are no series circuit.
  const auto line = [](double f) { return cdouble(20.0, -300.0 / std::tan(f * 1.2e-6)); };
  CHECK(fit(port_of(measured(steps(3e6, 12e6, 181), line)), Model::series_rlc).status == FitStatus::does_not_describe);
  CHECK(fit(port_of(measured(steps(6.9e6, 7.1e6, 4), z)), Model::series_rlc).status == FitStatus::too_few_points);
}

TEST_CASE("a model that is off in a part of the band by more than a tenth of R and by more than noise is refused") {
  // Radiation that grows with frequency, fitted as a series circuit.
  const auto z = [](double f) { return model_impedance(Model::antenna, {30.0, 5.0, 14e-6, 40e-12}, 7e6, f); };
  const Fit f = fit(port_of(measured(steps(5e6, 8e6, 121), z, 1e-4)), Model::series_rlc);
  CHECK(f.status == FitStatus::does_not_describe);
  CHECK(f.residual_correlation > 0.9);
  // A coil of Q 150 up to 6 MHz, and falling steeply above as a core's losses make it: no exponent is both.
  const auto coil = [](double hz) {
    const double w = two_pi * hz, q = hz < 6e6 ? 150.0 : 150.0 * std::pow(6e6 / hz, 3.0);
    const cdouble inner(w * 0.38e-6 / q, w * 0.38e-6);
    return 1.0 / (1.0 / inner + cdouble(0.0, w * 110e-12));
  };
  const Fit broken = fit(port_of(measured(steps(3e6, 20e6, 341), coil, 2e-4)), Model::coil);
  CHECK(broken.status == FitStatus::does_not_describe);
  CHECK(broken.lack_of_fit > 0.1);
  CHECK(broken.lack_of_fit_hz >= 3e6);
  CHECK(broken.lack_of_fit_hz <= 20e6);
  CHECK_THAT(broken.why, Contains("R is ") && Contains("the model says ") && Contains("not by noise"));
  // Below the knee it is the coil of the model, and well found.
  const Fit low = fit(port_of(measured(steps(1e6, 5.9e6, 197), coil, 2e-4)), Model::coil);
  INFO(low.why);
  REQUIRE(low.status == FitStatus::fitted);
  CHECK(low.lack_of_fit < 0.1);
  CHECK(std::abs(low.parameters[1].value - 150.0) <= 1.5 * low.parameters[1].uncertainty);
  CHECK(std::abs(low.parameters[3].value) <= 1.5 * low.parameters[3].uncertainty);
  // Noise as large as a tenth of R is no lack of fit.
  const Fit noisy =
      fit(port_of(sweep_of({Model::series_rlc, {2.0, 20e-6, 25e-12}, steps(6.9e6, 7.3e6, 101), 0.0}, 0.02, 7)),
          Model::series_rlc);
  CHECK(noisy.status != FitStatus::does_not_describe);
}

TEST_CASE("what a model misses a little widens the uncertainties of inductance and capacitance until they hold the "
          "truth, and is said") {
  // The ground's resistance grows slowly, as the root of the root of frequency.
  const auto z = [](double f) {
    const double x = f / 7e6;
    return cdouble(14.0 * x * x + 22.0 * std::pow(x, 0.25), series_rlc(0.0, 14e-6, 40e-12, f).imag());
  };
  std::map<std::string, int> inside;
  for (unsigned trial = 0; trial < 100; ++trial) {
    const Fit f = fit(port_of(measured(steps(4e6, 10e6, 241), z, 2e-4, 300 + trial)), Model::antenna);
    INFO(f.why);
    REQUIRE(f.status == FitStatus::fitted);
    REQUIRE_FALSE(f.notes.empty());
    CHECK_THAT(f.notes.back(), Contains("the model misses something"));
    CHECK(f.lack_of_fit < 0.1);
    for (const auto& [k, truth] : {std::pair{2, 14e-6}, std::pair{3, 40e-12}}) {
      const FitParameter& p = f.parameters[static_cast<std::size_t>(k)];
      inside[p.name] += std::abs(p.value - truth) <= p.uncertainty;
    }
  }
  CHECK(inside["inductance_h"] >= 92);
  CHECK(inside["capacitance_f"] >= 92);
}

TEST_CASE("an instrument's error that is the same at all points is in the uncertainty when it is stated") {
  // Errors of directivity, tracking and match, one draw a sweep, and a fifth of that as noise. Small enough for the
  // parameters to follow them in proportion: the coil's Q at |S11| near 1 does not for long.
  for (const Case& c : cases) {
    const double error = 0.2 * c.noise;
    std::map<std::string, int> inside, without, wide;
    int fitted = 0;
    for (unsigned trial = 0; trial < 200; ++trial) {
      std::mt19937_64 source(7000 + trial);
      std::normal_distribution<double> normal(0.0, error);
      std::array<cdouble, 3> e{};
      for (cdouble& each : e) {
        const double a = normal(source), b = normal(source);
        each = {a, b};
      }
      Sweep sweep = sweep_of(c, 0.2 * error, trial);
      for (cdouble& s : sweep.values) s += e[0] + e[1] * s + e[2] * s * s;
      JudgeOptions stated;
      stated.instrument_error = error;
      const Fit f = fit(port_of(sweep, stated), c.model), plain = fit(port_of(sweep), c.model);
      if (f.status != FitStatus::fitted) continue;
      ++fitted;
      for (std::size_t k = 0; k < c.truth.size(); ++k) {
        const FitParameter& p = f.parameters[k];
        inside[p.name] += std::abs(p.value - c.truth[k]) <= p.uncertainty;
        wide[p.name] += std::abs(p.value - c.truth[k]) <= 0.25 * p.uncertainty;
        without[p.name] += std::abs(plain.parameters[k].value - c.truth[k]) <= plain.parameters[k].uncertainty;
      }
    }
    CHECK(fitted >= 190);
    for (const auto& [name, count] : inside) {
      INFO(model_name(c.model) << " " << name << ": " << count << " of " << fitted << ", a quarter of it " << wide[name]
                               << ", error not stated " << without[name]);
      CHECK(count >= 0.92 * fitted);
      CHECK(wide[name] < 0.75 * fitted);
      CHECK(without[name] < 0.92 * fitted);
    }
  }
}

TEST_CASE("a Q law that the data leave open is fixed and said") {
  const auto coil = [](double f) { return model_impedance(Model::coil, {2.8e-6, 60.0, 3e-12, 0.5}, 35e6, f); };
  const Fit f = fit(port_of(measured(steps(33e6, 37e6, 61), coil, 2e-3)), Model::coil);
  REQUIRE(f.parameters.size() == 4);
  CHECK(f.parameters[3].value == 0.5);
  CHECK(f.parameters[3].uncertainty == 0.0);
  REQUIRE_FALSE(f.notes.empty());
  CHECK_THAT(f.notes.front(), Contains("fixed at sqrt(f)"));
}

TEST_CASE("models and ends of a fit have their words") {
  for (const auto& [model, word] :
       {std::pair{Model::series_rlc, "series-rlc"}, std::pair{Model::parallel_rlc, "parallel-rlc"},
        std::pair{Model::coil, "coil"}, std::pair{Model::antenna, "antenna"},
        std::pair{Model::quarter_wave, "quarter-wave"}}) {
    CHECK(model_name(model) == word);
    CHECK(model_of_name(word) == model);
  }
  CHECK_FALSE(model_of_name("rlc"));
  for (const auto& [status, word] :
       {std::pair{FitStatus::not_run, "not run"}, std::pair{FitStatus::fitted, "fitted"},
        std::pair{FitStatus::too_few_points, "too few points"}, std::pair{FitStatus::not_converged, "not converged"},
        std::pair{FitStatus::not_carried, "not carried by the data"},
        std::pair{FitStatus::does_not_describe, "does not describe the data"}})
    CHECK(fit_status_name(status) == word);
}

TEST_CASE("parameters print with their unit") {
  CHECK(parameter_text({"inductance_h", 2.8e-6, 1e-8}) == "2.8 uH +- 10 nH");
  CHECK(parameter_text({"q", 60.0, 2.0}) == "60 +- 2");
  CHECK(parameter_text({"resistance_ohm", 12.0, 0.5}) == "12 ohm +- 500 mohm");
  CHECK(parameter_text({"capacitance_f", 25e-12, 1e-13}) == "25 pF +- 100 fF");
  CHECK(parameter_text({"resonance_hz", 7.1e6, 2e3}) == "7.1 MHz +- 2 kHz");
}

TEST_CASE("what moves neighbours alike counts in the products of those that are compared, within a group alone") {
  const std::vector<detail::LocalChange> change{{0, {1.0, 2.0, cdouble(0.0, 3.0)}}, {1, {1.0, 1.0}}};
  // 2 Re(a conj(b)) of each pair, by hand: 4 and 0 of the first, 2 of the second.
  CHECK(detail::neighbours({}, change, {0, 0, 0}).products == 6.0);
  CHECK(detail::neighbours({}, change, {0, 0, 1}).products == 4.0);
  CHECK(detail::neighbours({}, change, {0, 1, 1}).products == 2.0);
  CHECK(detail::neighbours({}, change, {0, 1, 2}).products == 0.0);
}
