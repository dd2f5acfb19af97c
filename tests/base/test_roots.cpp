#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <stdexcept>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/roots.hpp>

using stile::find_minimum;
using stile::find_root;
using stile::Minimum;
using stile::Root;
using stile::RootStatus;

namespace {
constexpr double nan_value = std::numeric_limits<double>::quiet_NaN();
constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double epsilon = std::numeric_limits<double>::epsilon();

/// f with a count of its calls beside the one the search reports.
struct Counted {
  std::function<double(double)> f;
  int calls = 0;
  std::function<double(double)> function() {
    return [this](double x) {
      ++calls;
      return f(x);
    };
  }
};

void check_found(const std::function<double(double)>& f, double low, double high, double expected, double tolerance) {
  Counted counted{f};
  const Root root = find_root(counted.function(), low, high);
  INFO("x " << root.x << " expected " << expected);
  CHECK(root.status == RootStatus::found);
  CHECK(std::abs(root.x - expected) <= tolerance);
  CHECK(root.residual == f(root.x));
  CHECK(root.evaluations == counted.calls);
  CHECK(root.evaluations <= 200);
}
}  // namespace

TEST_CASE("known roots are found to the resolution of doubles") {
  // Fixed point of the cosine; its digits follow from x = cos x and were checked with 30-digit arithmetic.
  check_found([](double x) { return std::cos(x) - x; }, 0.0, 1.0, 0.73908513321516064165, epsilon);
  // The cubic of Wallis, Algebra, 1685.
  check_found([](double x) { return x * x * x - 2.0 * x - 5.0; }, 2.0, 3.0, 2.0945514815423265, 2.0 * epsilon);
  check_found([](double x) { return x * x - 2.0; }, 0.0, 2.0, std::sqrt(2.0), 2.0 * epsilon);
  check_found([](double x) { return -std::log(x); }, 0.01, 50.0, 1.0, epsilon);
  check_found([](double x) { return std::cbrt(x - 1.0); }, -1.0, 2.5, 1.0, epsilon);
}

TEST_CASE("Kepler's equation gives back the eccentric anomaly it was made from") {
  for (double eccentricity : {0.0, 0.1, 0.9, 0.999}) {
    for (double anomaly : {0.1, 1.0, 2.5, 3.0}) {
      const double mean = anomaly - eccentricity * std::sin(anomaly);
      // mean is rounded to about 4e-16, which the slope 1 - e cos E turns into an error of the anomaly
      const double slope = 1.0 - eccentricity * std::cos(anomaly);
      check_found([&](double e) { return e - eccentricity * std::sin(e) - mean; }, 0.0, 4.0, anomaly,
                  4.0 * epsilon / slope * 4.0);
    }
  }
}

TEST_CASE("a root below zero is found like its mirror image above") {
  int missed = 0;
  for (int i = 1; i < 1000; ++i) {
    const double c = 0.5 + 0.0005 * i;
    const auto f = [&](double x) { return std::sin(x) - std::sin(c) + 0.3 * (x - c); };
    const Root above = find_root(f, 0.1, 1.4), below = find_root([&](double x) { return f(-x); }, -1.4, -0.1);
    const Root across = find_root([&](double x) { return f(-x); }, -1.4, 0.3);
    missed +=
        above.status != RootStatus::found || below.status != RootStatus::found || across.status != RootStatus::found;
    CHECK(below.x == -above.x);
    CHECK(std::abs(across.x - below.x) <= 4.0 * epsilon);
  }
  CHECK(missed == 0);
}

TEST_CASE("a root many decades below the bracket is found") {
  const auto resonance = [](double c) { return 1.0 / (stile::two_pi * std::sqrt(1e-6 * c)) - 14.2e6; };
  const double w = stile::two_pi * 14.2e6;
  const double expected = 1.0 / (w * w * 1e-6);
  check_found(resonance, 1e-15, 1.0, expected, 8.0 * epsilon * expected);
}

TEST_CASE("a steep root is not taken for a pole") {
  check_found([](double x) { return std::tanh(1e6 * (x - 0.3)); }, -1.0, 2.0, 0.3, 4.0 * epsilon);
  check_found([](double x) { return 1e300 * (x - 0.3); }, -1.0, 2.0, 0.3, epsilon);
}

TEST_CASE("a residual ends the search early") {
  const auto f = [](double x) { return x * x - 2.0; };
  const Root exact = find_root(f, 0.0, 2.0);
  const Root coarse = find_root(f, 0.0, 2.0, {1e-3, 200});
  CHECK(coarse.status == RootStatus::found);
  CHECK(std::abs(coarse.residual) <= 1e-3);
  CHECK(coarse.residual == f(coarse.x));
  CHECK(coarse.evaluations < exact.evaluations);
}

TEST_CASE("an end that is zero is found at once") {
  const Root low = find_root([](double x) { return x - 1.0; }, 1.0, 2.0);
  CHECK(low.status == RootStatus::found);
  CHECK(low.x == 1.0);
  CHECK(low.evaluations == 1);
  const Root high = find_root([](double x) { return x - 2.0; }, 1.0, 2.0);
  CHECK(high.status == RootStatus::found);
  CHECK(high.x == 2.0);
  CHECK(high.evaluations == 2);
}

TEST_CASE("a bracket without a sign change is refused") {
  const Root root = find_root([](double x) { return x * x + 1.0; }, -1.0, 2.0);
  CHECK(root.status == RootStatus::no_bracket);
  CHECK(root.x == -1.0);
  CHECK(root.residual == 2.0);
  CHECK(root.evaluations == 2);
}

TEST_CASE("an end where f is not finite is refused") {
  for (double bad : {nan_value, infinity, -infinity}) {
    CHECK(find_root([&](double x) { return x == 0.0 ? bad : x - 0.5; }, 0.0, 1.0).status == RootStatus::no_bracket);
    CHECK(find_root([&](double x) { return x == 1.0 ? bad : x - 0.5; }, 0.0, 1.0).status == RootStatus::no_bracket);
  }
}

TEST_CASE("a pole is not taken for a root") {
  const auto inverse = [](double x) { return 1.0 / x; };
  CHECK(find_root([](double x) { return std::tan(x); }, 1.0, 2.0).status == RootStatus::pole);
  CHECK(find_root([](double x) { return std::tan(x); }, stile::pi / 2.0, 3.0).status == RootStatus::pole);
  CHECK(find_root(inverse, -1.0, 1.0).status == RootStatus::pole);
  CHECK(find_root(inverse, -1.0, 2.0).status == RootStatus::pole);
  CHECK(find_root([](double x) { return 1.0 / (x - 0.3); }, -1.0, 2.0).status == RootStatus::pole);
  const Root root = find_root([](double x) { return std::tan(x); }, 1.0, 2.0);
  CHECK(std::abs(root.x - stile::pi / 2.0) <= 2.0 * epsilon);
  CHECK(std::abs(root.residual) > 1e12);
}

TEST_CASE("a jump is not taken for a root") {
  CHECK(find_root([](double x) { return x < 0.3 ? -1.0 : 1.0; }, -1.0, 2.0).status == RootStatus::pole);
  CHECK(find_root([](double x) { return x < 0.3 ? x - 1.0 : x; }, -1.0, 1.0).status == RootStatus::pole);
  // an angle that wraps from pi to -pi
  CHECK(find_root([](double x) { return std::atan2(std::sin(x), std::cos(x)); }, 2.0, 4.0).status == RootStatus::pole);
}

TEST_CASE("a step that is small against the bracket's values is no root either") {
  // Worked by hand: 10 (x - 0.3) -+ 0.05 spans 13.05 + 17.05 from -1 to 2 and keeps 0.1 of it, 3.3e-3.
  const auto step = [](double x) { return 10.0 * (x - 0.3) + (x < 0.3 ? -0.05 : 0.05); };
  CHECK(find_root(step, -1.0, 2.0).status == RootStatus::pole);
}

TEST_CASE("a pole is told within a bracket of a few doubles") {
  // The pole lies between two neighbouring doubles: of 7 steps to each side the values grow from 0.15 to 1.7 and 2.5.
  const double ulp = std::nextafter(0.3, 1.0) - 0.3;
  const auto f = [&](double x) { return 1.0 / ((x - 0.3) / ulp + 0.4); };
  CHECK(find_root(f, 0.3 - 7.0 * ulp, 0.3 + 7.0 * ulp).status == RootStatus::pole);
}

TEST_CASE("too few evaluations end as no convergence and keep what was reached") {
  const auto f = [](double x) { return std::exp(x) - 5.0; };
  for (int limit : {2, 3, 6, 10}) {
    Counted counted{f};
    const Root root = find_root(counted.function(), 0.0, 30.0, {0.0, limit});
    INFO("limit " << limit);
    CHECK(root.status == RootStatus::no_converge);
    CHECK(root.evaluations <= limit);
    CHECK(root.evaluations == counted.calls);
    CHECK(root.residual == f(root.x));
    CHECK(std::abs(root.residual) <= 4.0);  // |f(0)|, the better end
  }
}

TEST_CASE("a gap inside the bracket ends the search without a root") {
  const Root root = find_root([](double x) { return x > 0.4 && x < 0.6 ? nan_value : x - 0.5; }, 0.0, 1.0);
  CHECK(root.status == RootStatus::no_converge);
  CHECK(std::abs(root.residual) == 0.5);
}

TEST_CASE("wrong arguments of the root search throw") {
  const auto f = [](double x) { return x; };
  CHECK_THROWS_AS(find_root(f, 1.0, 1.0), stile::DomainError);
  CHECK_THROWS_AS(find_root(f, 2.0, 1.0), stile::DomainError);
  CHECK_THROWS_AS(find_root(f, nan_value, 1.0), stile::DomainError);
  CHECK_THROWS_AS(find_root(f, 0.0, infinity), stile::DomainError);
  CHECK_THROWS_AS(find_root(f, -1.0, 1.0, {-1e-3, 200}), stile::DomainError);
  CHECK_THROWS_AS(find_root(f, -1.0, 1.0, {nan_value, 200}), stile::DomainError);
  CHECK_THROWS_AS(find_root(f, -1.0, 1.0, {0.0, 1}), stile::DomainError);
}

TEST_CASE("what f throws passes through") {
  CHECK_THROWS_AS(find_root([](double) -> double { throw std::out_of_range("x"); }, 0.0, 1.0), std::out_of_range);
}

TEST_CASE("a fresh result says that nothing was searched") { CHECK(Root{}.status == RootStatus::not_run); }

TEST_CASE("a minimum inside is found") {
  Counted counted{[](double x) { return (x - 0.7) * (x - 0.7) + 3.0; }};
  const Minimum minimum = find_minimum(counted.function(), -1.0, 2.0, 10);
  CHECK(std::abs(minimum.x - 0.7) <= 1e-7);
  CHECK(std::abs(minimum.value - 3.0) <= 1e-14);
  CHECK_FALSE(minimum.at_edge);
  CHECK(minimum.evaluations == counted.calls);
  CHECK(minimum.evaluations < 60);
}

TEST_CASE("the scale of x does not matter to a minimum") {
  for (double scale : {1e-12, 1e-6, 1.0, 1e9}) {
    const auto f = [&](double x) { return std::cosh(x / scale - 0.7); };
    const Minimum minimum = find_minimum(f, -1.0 * scale, 2.0 * scale, 10);
    INFO("scale " << scale << " x " << minimum.x);
    CHECK(std::abs(minimum.x / scale - 0.7) <= 1e-7);
  }
}

TEST_CASE("the deepest of several valleys is taken") {
  // sin x + sin 10x/3; the zero of its derivative there is 5.14573529025612795763 by 30-digit arithmetic, and a fine
  // grid shows that no other valley is deeper.
  const auto f = [](double x) { return std::sin(x) + std::sin(10.0 * x / 3.0); };
  const Minimum minimum = find_minimum(f, 2.7, 7.5, 40);
  CHECK(std::abs(minimum.x - 5.14573529025612795763) <= 1e-7);
  for (int i = 0; i <= 10000; ++i) REQUIRE(f(2.7 + 4.8e-4 * i) >= minimum.value - 1e-14);
}

TEST_CASE("a minimum at an end is told") {
  const Minimum low = find_minimum([](double x) { return x; }, 1.0, 2.0, 5);
  CHECK(low.at_edge);
  CHECK(low.x == 1.0);
  CHECK(low.value == 1.0);
  const Minimum high = find_minimum([](double x) { return -x; }, 1.0, 2.0, 5);
  CHECK(high.at_edge);
  CHECK(high.x == 2.0);
}

TEST_CASE("a minimum beside an end is not told as an end") {
  const Minimum minimum = find_minimum([](double x) { return (x - 1.01) * (x - 1.01); }, 1.0, 2.0, 5);
  CHECK_FALSE(minimum.at_edge);
  CHECK(std::abs(minimum.x - 1.01) <= 1e-7);
}

TEST_CASE("regions where f is not defined are left aside") {
  for (double undefined : {infinity, nan_value}) {
    const auto f = [&](double x) { return x < 0.65 ? undefined : (x - 0.7) * (x - 0.7); };
    const Minimum minimum = find_minimum(f, 0.0, 2.0, 10);
    INFO("x " << minimum.x);
    CHECK(std::abs(minimum.x - 0.7) <= 1e-7);
  }
  CHECK(find_minimum([](double) { return infinity; }, 0.0, 1.0, 5).value == infinity);
  CHECK(find_minimum([](double) { return nan_value; }, 0.0, 1.0, 5).value == infinity);
}

TEST_CASE("wrong arguments of the minimum search throw") {
  const auto f = [](double x) { return x; };
  CHECK_THROWS_AS(find_minimum(f, 1.0, 1.0, 5), stile::DomainError);
  CHECK_THROWS_AS(find_minimum(f, 0.0, infinity, 5), stile::DomainError);
  CHECK_THROWS_AS(find_minimum(f, nan_value, 1.0, 5), stile::DomainError);
  CHECK_THROWS_AS(find_minimum(f, 0.0, 1.0, 2), stile::DomainError);
}
