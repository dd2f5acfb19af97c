#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

#include <catch2/catch.hpp>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/load/load.hpp>

using namespace stile;
using namespace stile::load;

namespace {

Load sampled(std::vector<double> f, std::vector<cdouble> z, double gap = default_gap_ratio) {
  return {"test", "made here", make_sampled_load(std::move(f), std::move(z), {}, gap), {}};
}

std::string message_of(const Load& load, double f) {
  try {
    (void)load_impedance(load, f);
  } catch (const DomainError& error) {
    return error.what();
  }
  return "no error";
}

bool holds(const std::string& text, const std::string& part) {
  INFO(text);
  CHECK(text.find(part) != std::string::npos);
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("a constant load is the same everywhere") {
  const Load load{"dummy", "given", ConstantLoad{{12.0, -230.0}}, {}};
  CHECK(load_impedance(load, 1e3) == cdouble(12.0, -230.0));
  CHECK(load_impedance(load, 30e6) == cdouble(12.0, -230.0));
  CHECK_FALSE(load_shares(load, 7e6));
  CHECK(load_covers(load, 7e6));
  CHECK_FALSE(load_covers(load, 0.0));
  CHECK_FALSE(load_covers(load, std::numeric_limits<double>::quiet_NaN()));
  REQUIRE(load_ranges(load).size() == 1);
  CHECK(load_ranges(load)[0].low == 0.0);
  CHECK(std::isinf(load_ranges(load)[0].high));
  CHECK(load_q(load, 7e6) == 230.0 / 12.0);
  CHECK_THROWS_AS(load_impedance(load, 0.0), DomainError);
  CHECK_THROWS_AS(load_impedance(load, std::numeric_limits<double>::infinity()), DomainError);
  CHECK_THROWS_AS(load_impedance({"", "", ConstantLoad{{-1.0, 0.0}}, {}}, 7e6), DomainError);
  CHECK_THROWS_AS(load_q({"", "", ConstantLoad{{0.0, 5.0}}, {}}, 7e6), DomainError);
}

TEST_CASE("a whip model scales as its parts do") {
  WhipModel whip;
  whip.radiation_ohm = 2.0;
  whip.radiation_at_hz = 7e6;
  whip.capacitance_f = 25e-12;
  whip.inductance_h = 1e-6;
  whip.ground_ohm = 10.0;
  whip.metal_ohm = 0.5;
  whip.metal_at_hz = 3.5e6;
  const Load load{"whip", "model", whip, {}};
  const cdouble z = load_impedance(load, 14e6);
  CHECK(std::abs(z.real() - (8.0 + 10.0 + 1.0)) <= 1e-13);
  const double w = two_pi * 14e6;
  CHECK(std::abs(z.imag() - (w * 1e-6 - 1.0 / (w * 25e-12))) <= 1e-12);
  const auto shares = load_shares(load, 14e6);
  REQUIRE(shares);
  CHECK(std::abs(shares->radiated - 8.0 / 19.0) <= 1e-15);
  CHECK(std::abs(shares->metal - 1.0 / 19.0) <= 1e-15);
  CHECK(std::abs(shares->radiated + shares->metal + shares->ground - 1.0) <= 1e-15);
  CHECK(load_ranges(load).size() == 1);

  whip.capacitance_f = 0.0;
  CHECK_THROWS_AS(load_impedance({"", "", whip, {}}, 7e6), DomainError);
  whip.capacitance_f = 25e-12;
  whip.metal_at_hz = 0.0;
  CHECK_THROWS_AS(load_impedance({"", "", whip, {}}, 7e6), DomainError);
  whip.metal_ohm = 0.0;
  CHECK_NOTHROW(load_impedance({"", "", whip, {}}, 7e6));
  whip.radiation_ohm = whip.ground_ohm = 0.0;
  CHECK_FALSE(load_shares({"", "", whip, {}}, 7e6));
}

TEST_CASE("Q of a series circuit is its quality factor") {
  // Yaghjian and Best, IEEE Trans. AP-53(4), 2005: at resonance of a series RLC circuit the formula gives its Q.
  const double f0 = 7.1e6, r = 5.0, q = 100.0, w0 = two_pi * f0;
  WhipModel circuit;
  circuit.radiation_at_hz = f0;
  circuit.ground_ohm = r;
  circuit.inductance_h = q * r / w0;
  circuit.capacitance_f = 1.0 / (w0 * q * r);
  const Load load{"rlc", "model", circuit, {}};
  CHECK(std::abs(load_q(load, f0) - q) <= 1e-6 * q);
  // Off resonance, tuned by the missing series part: the larger of the two energies decides.
  for (const double f : {3e6, 5e6, 6.9e6, 7.3e6, 12e6}) {
    const double xl = two_pi * f * circuit.inductance_h, xc = 1.0 / (two_pi * f * circuit.capacitance_f);
    INFO(f);
    CHECK(std::abs(load_q(load, f) - std::max(xl, xc) / r) <= 1e-6 * std::max(xl, xc) / r);
  }
  SECTION("samples of it give nearly the same") {
    std::vector<double> frequency_hz;
    std::vector<cdouble> z_ohm;
    for (double f = 6.9e6; f <= 7.3e6; f += 1e4) {
      frequency_hz.push_back(f);
      z_ohm.push_back(load_impedance(load, f));
    }
    const Load samples = sampled(frequency_hz, z_ohm);
    CHECK(std::abs(load_q(samples, f0) - q) <= 1e-4 * q);
    CHECK(std::abs(load_q(samples, 7.0437e6) / load_q(load, 7.0437e6) - 1.0) <= 1e-4);
    CHECK(std::abs(load_q(samples, frequency_hz.front()) / load_q(load, frequency_hz.front()) - 1.0) <= 2e-3);
    CHECK(std::abs(load_q(samples, frequency_hz.back()) / load_q(load, frequency_hz.back()) - 1.0) <= 2e-3);
  }
  CHECK_THROWS_AS(load_q(sampled({7e6}, {cdouble(5.0, 1.0)}), 7e6), DomainError);
}

TEST_CASE("interpolated passive data stay passive and between their neighbours") {
  std::mt19937_64 random(77);
  const auto unit = [&] { return static_cast<double>(random() >> 11U) * 0x1p-53; };
  std::size_t outside = 0, negative = 0, tried = 0;
  for (int set = 0; set < 300; ++set) {
    const std::size_t n = 1 + random() % 30;
    std::vector<double> f{1e6 * (1.0 + unit())};
    std::vector<cdouble> z;
    for (std::size_t i = 0; i < n; ++i) {
      if (i > 0) f.push_back(f.back() * (1.0 + 0.2 * unit() + 1e-6));
      // Many exact zeros and steps of many decades: where a spline would overshoot.
      const double r = random() % 4 == 0 ? 0.0 : std::pow(10.0, 8.0 * unit() - 4.0);
      z.emplace_back(r, (unit() - 0.5) * std::pow(10.0, 6.0 * unit()));
    }
    const Load load = sampled(f, z);
    for (std::size_t i = 0; i + 1 < n; ++i) {
      const auto [r_low, r_high] = std::minmax({z[i].real(), z[i + 1].real()});
      const auto [x_low, x_high] = std::minmax({z[i].imag(), z[i + 1].imag()});
      for (int k = 0; k < 20; ++k) {
        const double at = f[i] + (f[i + 1] - f[i]) * unit();
        if (!load_covers(load, at)) continue;
        const cdouble value = load_impedance(load, at);
        ++tried;
        if (!(value.real() >= 0.0)) ++negative;
        if (value.real() < r_low || value.real() > r_high || value.imag() < x_low || value.imag() > x_high) ++outside;
      }
    }
    for (std::size_t i = 0; i < n; ++i)
      if (load_impedance(load, f[i]) != z[i]) ++outside;
  }
  CHECK(tried > 30000);
  CHECK(negative == 0);
  CHECK(outside == 0);
}

TEST_CASE("few samples are joined by straight lines") {
  const Load load = sampled({10e6, 11e6, 12e6}, {cdouble(1.0, -10.0), cdouble(3.0, -6.0), cdouble(2.0, -5.0)});
  CHECK(std::abs(load_impedance(load, 10.25e6) - cdouble(1.5, -9.0)) <= 1e-14);
  CHECK(std::abs(load_impedance(load, 11.5e6) - cdouble(2.5, -5.5)) <= 1e-14);
}

TEST_CASE("a smooth curve is interpolated with small error") {
  // pchip between equal steps h of a monotone curve: error of order h^3 at worst; here 1/f over 2 % steps.
  std::vector<double> f;
  std::vector<cdouble> z;
  for (double at = 3e6; at < 4e6; at *= 1.02) {
    f.push_back(at);
    z.emplace_back(1e-12 * at * at, -1e9 / at);
  }
  const Load load = sampled(f, z);
  double worst = 0.0;
  for (double at = f[1]; at < f[f.size() - 2]; at *= 1.0013)
    worst = std::max(worst, std::abs(load_impedance(load, at).imag() * at / -1e9 - 1.0));
  INFO(worst);
  CHECK(worst <= 1e-5);
}

TEST_CASE("there is no data in gaps or beyond the ends") {
  const std::vector<double> f{3.5e6, 3.65e6, 3.8e6, 7.0e6, 7.1e6, 7.2e6, 10.125e6};
  const std::vector<cdouble> z{{1, -7}, {2, -6}, {3, -5}, {4, -4}, {5, -3}, {6, -2}, {7, -1}};
  const Load load = sampled(f, z);
  const auto ranges = load_ranges(load);
  REQUIRE(ranges.size() == 3);
  CHECK(ranges[0].low == 3.5e6);
  CHECK(ranges[0].high == 3.8e6);
  CHECK(ranges[2].low == ranges[2].high);
  CHECK(holds(message_of(load, 5e6), "there is none between 3.8 MHz and 7 MHz"));
  CHECK(holds(message_of(load, 5e6), "data: 3.5 MHz to 3.8 MHz, 7 MHz to 7.2 MHz, 10.125 MHz"));
  CHECK(holds(message_of(load, 5e6), "load \"test\": no data at 5 MHz"));
  CHECK(holds(message_of(load, 3e6), "there is none below 3.5 MHz"));
  CHECK(holds(message_of(load, 11e6), "there is none above 10.125 MHz"));
  CHECK(load_impedance(load, 10.125e6) == cdouble(7.0, -1.0));
  CHECK(load_covers(load, 3.7e6));
  CHECK_FALSE(load_covers(load, 3.81e6));
  CHECK_FALSE(load_covers(load, 10.126e6));
  SECTION("rounding of a unit does not push a sample out of the data") {
    CHECK(load_impedance(load, std::nextafter(3.8e6, 1e9)) == z[2]);
    CHECK(load_impedance(load, std::nextafter(3.5e6, 0.0)) == z[0]);
    CHECK(load_covers(load, std::nextafter(10.125e6, 0.0)));
    CHECK_FALSE(load_covers(load, 3.8e6 * (1.0 + 1e-11)));
  }
  SECTION("the caller may join across gaps") {
    const Load joined = sampled(f, z, 2.0);
    CHECK(load_ranges(joined).size() == 1);
    CHECK(load_impedance(joined, 5e6).real() > 3.0);
    CHECK(load_impedance(joined, 5e6).real() < 4.0);
  }
}

TEST_CASE("samples are checked") {
  const std::vector<cdouble> two{{1.0, 0.0}, {2.0, 0.0}};
  CHECK_THROWS_AS(make_sampled_load({}, {}), DomainError);
  CHECK_THROWS_AS(make_sampled_load({1e6}, two), DomainError);
  CHECK_THROWS_AS(make_sampled_load({1e6, 1e6}, two), DomainError);
  CHECK_THROWS_AS(make_sampled_load({0.0, 1e6}, two), DomainError);
  CHECK_THROWS_AS(make_sampled_load({1e6, 2e6}, {{1.0, 0.0}, {-1e-9, 0.0}}), DomainError);
  CHECK_THROWS_AS(make_sampled_load({1e6, 2e6}, {{1.0, 0.0}, {1.0, std::numeric_limits<double>::quiet_NaN()}}),
                  DomainError);
  CHECK_THROWS_AS(make_sampled_load({1e6, 2e6}, two, {}, 1.0), DomainError);
  CHECK_THROWS_AS(make_sampled_load({1e6, 2e6}, two, {{1.0, 0.0, 0.0}}), DomainError);
  CHECK_THROWS_AS(make_sampled_load({1e6, 2e6}, two, {{1.0, 0.0, 0.0}, {0.5, 0.0, 0.0}}), DomainError);
  CHECK_THROWS_AS(make_sampled_load({1e6, 2e6}, two, {{1.0, 0.0, 0.0}, {1.5, -0.5, 0.0}}), DomainError);
  CHECK_THROWS_AS(make_sampled_load({1e6, 2e6}, two, {}, 1.15, {0.5}), DomainError);
}

TEST_CASE("shares between samples sum to one and are exact at samples") {
  std::mt19937_64 random(5);
  const auto unit = [&] { return static_cast<double>(random() >> 11U) * 0x1p-53; };
  std::vector<double> f;
  std::vector<cdouble> z;
  std::vector<PowerShares> shares;
  for (int i = 0; i < 40; ++i) {
    f.push_back(7e6 + 1e4 * i);
    z.emplace_back(10.0, -500.0);
    const double radiated = random() % 5 == 0 ? 0.0 : unit(),
                 metal = random() % 5 == 0 ? 1.0 - radiated : (1.0 - radiated) * unit();
    shares.push_back({radiated, metal, 1.0 - radiated - metal});
  }
  const Load load{"", "", make_sampled_load(f, z, shares), {}};
  for (std::size_t i = 0; i < f.size(); ++i) {
    const auto at = load_shares(load, f[i]);
    REQUIRE(at);
    CHECK(std::abs(at->radiated - shares[i].radiated) <= 1e-15);
    CHECK(std::abs(at->ground - shares[i].ground) <= 1e-15);
  }
  for (int i = 0; i < 1000; ++i) {
    const auto at = load_shares(load, f.front() + unit() * (f.back() - f.front()));
    REQUIRE(at);
    const bool legal = at->radiated >= 0.0 && at->metal >= 0.0 && at->ground >= 0.0 &&
                       std::abs(at->radiated + at->metal + at->ground - 1.0) <= 1e-15;
    CHECK(legal);
  }
}

TEST_CASE("the gain of a path is straight between samples and known only between known ones") {
  SampledLoad samples = make_sampled_load({7.0e6, 7.1e6, 7.2e6, 7.3e6, 10.1e6}, std::vector<cdouble>(5, 50.0));
  samples.path_gain = {2.0, 3.0, 1.0, 0.0, 4.0};
  const Load load{"invented", "made here", samples, {}};
  CHECK(load_path_gain(load, 7.0e6) == 2.0);
  CHECK(std::abs(load_path_gain(load, 7.025e6).value() - 2.25) <= 1e-9);
  CHECK(std::abs(load_path_gain(load, 7.175e6).value() - 1.5) <= 1e-9);
  CHECK(load_path_gain(load, 7.2e6) == 1.0);
  CHECK(load_path_gain(load, 10.1e6) == 4.0);
  CHECK_FALSE(load_path_gain(load, 7.25e6));  // one side is not known
  CHECK_FALSE(load_path_gain(load, 7.3e6));
  CHECK_THROWS_AS(load_path_gain(load, 8e6), DomainError);
  CHECK_THROWS_AS(load_path_gain(load, 0.0), DomainError);
  CHECK_FALSE(load_path_gain({"", "", ConstantLoad{}, {}}, 7e6));
  samples.path_gain.clear();
  CHECK_FALSE(load_path_gain({"", "", samples, {}}, 7e6));
}

TEST_CASE("every share is interpolated for itself, coils as a part of metal") {
  // Half-way of two samples each share is the mean: straight lines below four samples.
  const PowerShares low{0.30, 0.40, 0.15, 0.10, 0.05, 0.20}, high{0.50, 0.20, 0.05, 0.04, 0.21, 0.10};
  const Load load{"", "", make_sampled_load({7.0e6, 7.2e6}, {10.0, 10.0}, {low, high}), {}};
  const PowerShares s = load_shares(load, 7.1e6).value();
  CHECK(std::abs(s.radiated - 0.40) <= 1e-12);
  CHECK(std::abs(s.metal - 0.30) <= 1e-12);
  CHECK(std::abs(s.ground - 0.10) <= 1e-12);
  CHECK(std::abs(s.person - 0.07) <= 1e-12);
  CHECK(std::abs(s.lumps - 0.13) <= 1e-12);
  CHECK(std::abs(s.coils - 0.15) <= 1e-12);
  // Of cubics the sum is not 1 between samples; what is scaled is all of it, so that coils that are all of the metal
  // stay all of it.
  std::vector<PowerShares> all;
  const std::vector<double> radiated{0.1, 0.4, 0.2, 0.5, 0.3}, metal{0.6, 0.3, 0.2, 0.1, 0.5};
  for (std::size_t n = 0; n < 5; ++n)
    all.push_back({radiated[n], metal[n], 1.0 - radiated[n] - metal[n], 0.0, 0.0, metal[n]});
  const Load curved{
      "", "", make_sampled_load({7.0e6, 7.1e6, 7.2e6, 7.3e6, 7.4e6}, std::vector<cdouble>(5, 10.0), all), {}};
  for (double f = 7.01e6; f < 7.4e6; f += 1.7e4) {
    const PowerShares at = load_shares(curved, f).value();
    INFO(f);
    CHECK(std::abs(at.coils - at.metal) <= 1e-12);
    CHECK(std::abs(at.radiated + at.metal + at.ground - 1.0) <= 1e-12);
  }
  // Coils cannot take more than metal does, nor less than nothing.
  for (const double coils : {0.41, -0.01}) {
    PowerShares wrong = low;
    wrong.coils = coils;
    CHECK_THROWS_AS(make_sampled_load({7.0e6, 7.2e6}, {10.0, 10.0}, {wrong, high}), DomainError);
  }
}

TEST_CASE("samples are joined up to a ratio of 1.15") {
  CHECK(default_gap_ratio == 1.15);
  CHECK(load_ranges(sampled({10e6, 11.49e6}, {50.0, 50.0})).size() == 1);
  CHECK(load_ranges(sampled({10e6, 11.51e6}, {50.0, 50.0})).size() == 2);
}

TEST_CASE("of many ranges twelve are named") {
  std::vector<double> f;
  for (int n = 1; n <= 14; ++n) f.push_back(1e6 * std::pow(1.5, n));
  const std::string message = message_of(sampled(f, std::vector<cdouble>(14, 50.0)), 1e6);
  CHECK(holds(message, "data: 1.5 MHz, 2.25 MHz, "));
  CHECK(holds(message, "129.746 MHz and 2 more"));
}

TEST_CASE("the slope of a reactance is that of its model and 0 where the data end") {
  const WhipModel whip{2.0, 7e6, 25e-12, 1e-6, 15.0, 0.0, 0.0};
  const double f = 7.1e6, w = two_pi * f;
  const double slope = two_pi * (1e-6 + 1.0 / (w * w * 25e-12));  // d(w L - 1/(w C))/df
  CHECK(std::abs(load_reactance_slope_ohm_per_hz({"", "", whip, {}}, f) / slope - 1.0) <= 1e-7);
  const SampledLoad sampled = make_sampled_load({7.0e6, 7.2e6}, {{10.0, -900.0}, {10.0, -860.0}}, {}, 2.0, {});
  CHECK(std::abs(load_reactance_slope_ohm_per_hz({"", "", sampled, {}}, f) / 2e-4 - 1.0) <= 1e-6);
  CHECK(load_reactance_slope_ohm_per_hz({"", "", sampled, {}}, 7.0e6) == 0.0);
}
