// How far a load may wander: against direct evaluation, and against directions tried one by one.
#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/tuner/reach.hpp>

using namespace stile;
using namespace stile::tuner;
using network::Element;
using network::Ladder;
using network::Source;

namespace {

constexpr double frequency_hz = 7.1e6;

class Cases {
public:
  explicit Cases(unsigned start) : random_(start) {}
  double spread(double low, double high) { return low * std::pow(high / low, uniform_(random_)); }
  double even(double low, double high) { return low + (high - low) * uniform_(random_); }
  Ladder ladder() {
    const auto coil = [&](network::Place place) {
      network::Loss loss;
      loss.q = even(50.0, 300.0);
      return Element{"L", place, network::Inductor{spread(0.3e-6, 30e-6), loss, 0.0}};
    };
    const auto capacitor = [&](network::Place place) {
      network::Loss loss;
      loss.q = 1000.0;
      return Element{"C", place, network::Capacitor{spread(30e-12, 2e-9), loss}};
    };
    switch (static_cast<int>(even(0.0, 4.0))) {
    case 0:
      return {{coil(network::Place::series)}};
    case 1:
      return {{capacitor(network::Place::shunt), coil(network::Place::series)}};
    case 2:
      return {{coil(network::Place::series), capacitor(network::Place::shunt)}};
    default:
      return {{}};
    }
  }
  Source source() { return {cdouble{spread(20.0, 200.0), 0.0}, 5.0}; }
  cdouble load() { return {spread(1.0, 300.0), even(-1500.0, 600.0)}; }

private:
  std::mt19937 random_;
  std::uniform_real_distribution<double> uniform_{0.0, 1.0};
};

double least_swr(const std::vector<Ladder>& settings, const Source& source, cdouble z) {
  double least = std::numeric_limits<double>::infinity();
  for (const Ladder& ladder : settings) least = std::min(least, network::evaluate(ladder, source, frequency_hz, z).swr);
  return least;
}

}  // namespace

TEST_CASE("on the traced edge the SWR is the limit in one setting and less in none") {
  Cases cases(31);
  std::size_t points = 0;
  for (int repeat = 0; repeat < 60; ++repeat) {
    std::vector<Ladder> settings;
    for (int n = 0; n < 1 + repeat % 4; ++n) settings.push_back(cases.ladder());
    const Source source = cases.source();
    const double limit = cases.spread(1.2, 5.0);
    for (const ReachEdge& edge : trace_reach(settings, source, frequency_hz, limit)) {
      REQUIRE(edge.size() >= 2);
      for (const cdouble z : edge) {
        if (std::abs(z) > 1e5) continue;  // so near an open circuit that Z is lost in rounding
        INFO(z);
        CHECK(std::abs(least_swr(settings, source, z) - limit) <= 1e-9 * limit);
        ++points;
      }
    }
  }
  CHECK(points > 2000);
}

TEST_CASE("the nearest way out is the nearest of ten thousand directions") {
  Cases cases(32);
  int inside = 0, outside = 0;
  for (int repeat = 0; repeat < 3000 && inside < 40; ++repeat) {
    std::vector<Ladder> settings;
    for (int n = 0; n < 1 + repeat % 4; ++n) settings.push_back(cases.ladder());
    const Source source = cases.source();
    const double limit = cases.spread(1.5, 5.0);
    const cdouble load = cases.load();
    const Reach found = reach(settings, source, frequency_hz, limit, load);
    CHECK(found.inside == (least_swr(settings, source, load) <= limit));
    const auto whole = trace_reach(settings, source, frequency_hz, limit, 50.0, 1e-4);
    double nearest = std::numeric_limits<double>::infinity();
    for (const ReachEdge& edge : whole)
      for (const cdouble z : edge) nearest = std::min(nearest, std::abs(z - load));
    const double ours = found.inside ? found.way_out_ohm : found.way_in_ohm;
    if (!std::isfinite(nearest)) {
      CHECK(!std::isfinite(ours));
      continue;
    }
    CHECK(ours <= nearest * (1.0 + 1e-9));  // no traced point is nearer
    const cdouble z = found.inside ? found.way_out_load_ohm : found.way_in_load_ohm;
    CHECK(std::abs(std::abs(z - load) - ours) <= 1e-9 * std::abs(z));
    CHECK(std::abs(least_swr(settings, source, z) - limit) <= 1e-9 * limit);
    if (!found.inside) {
      ++outside;
      continue;
    }
    ++inside;
    // Up to our distance every direction stays within the limit, and the nearest of them is not much farther than ours.
    const int directions = 10000;
    double farthest_first = std::numeric_limits<double>::infinity();
    for (int k = 0; k < directions; ++k) {
      const cdouble way = std::polar(1.0, k * two_pi / directions);
      const auto at = [&](double distance) { return load + distance * way; };
      if (at(0.999 * ours).real() >= 0.0) {
        CHECK(least_swr(settings, source, at(0.999 * ours)) <= limit * (1.0 + 1e-9));
      }
      if (at(1.001 * ours).real() >= 0.0 && least_swr(settings, source, at(1.001 * ours)) > limit)
        farthest_first = std::min(farthest_first, 1.001 * ours);
    }
    CHECK(farthest_first <= 1.001 * ours);
  }
  CHECK(inside >= 40);
  CHECK(outside >= 100);
}

TEST_CASE("a straight connection's reach is the circle between 25 and 100 ohm") {
  // SWR 2 at 50 ohm: the circle through 25 and 100 ohm, centre 62.5, radius 37.5 ohm (by hand).
  const std::vector<Ladder> straight{{{}}};
  const Source source{50.0, 5.0};
  const Reach at_50 = reach(straight, source, frequency_hz, 2.0, 50.0);
  CHECK(at_50.inside);
  CHECK(at_50.way_out_ohm == Approx(25.0).epsilon(1e-12));
  CHECK(std::abs(at_50.way_out_load_ohm - 25.0) <= 1e-9);
  const Reach outside = reach(straight, source, frequency_hz, 2.0, {62.5, 100.0});
  CHECK(!outside.inside);
  CHECK(outside.way_in_ohm == Approx(62.5).epsilon(1e-12));
  CHECK(std::abs(outside.way_in_load_ohm - cdouble{62.5, 37.5}) <= 1e-9);
  CHECK(reach(straight, source, frequency_hz, 2.0, 62.5).way_out_ohm == Approx(37.5).epsilon(1e-12));
  // From 62.5-100j to 62.5+100j, 75 ohm of the 200 are within; beside it one way of 50 ohm wholly within.
  const std::vector<cdouble> across{{62.5, -100.0}, {62.5, 100.0}};
  CHECK(share_within_reach(straight, source, frequency_hz, 2.0, across) == Approx(75.0 / 200.0).epsilon(1e-12));
  const std::vector<cdouble> along{40.0, 90.0};
  CHECK(share_within_reach(straight, source, frequency_hz, 2.0, along) == 1.0);
  const std::vector<cdouble> one{200.0};
  CHECK(share_within_reach(straight, source, frequency_hz, 2.0, one) == 0.0);
}

TEST_CASE("the share of the ways within reach is that of points tried one by one") {
  Cases cases(33);
  for (int repeat = 0; repeat < 30; ++repeat) {
    const std::vector<Ladder> settings{cases.ladder(), cases.ladder(), cases.ladder()};
    const Source source = cases.source();
    const double limit = cases.spread(2.0, 8.0);
    const std::vector<cdouble> loads{cases.load(), cases.load()};
    const double share = share_within_reach(settings, source, frequency_hz, limit, loads);
    int within = 0;
    const int points = 4000;
    for (int k = 0; k < points; ++k)
      if (least_swr(settings, source, loads[0] + (k + 0.5) / points * (loads[1] - loads[0])) <= limit) ++within;
    CHECK(std::abs(share - static_cast<double>(within) / points) <= 6.0 / points);
  }
}

TEST_CASE("a straight way leaves the region where the SWR is the limit, and not before") {
  // 50 ohm straight through, SWR limit 2: R from 25 to 100. From 50 ohm towards 150 it leaves at half of the way.
  const std::vector<Ladder> straight{{{}}};
  const Source fifty{50.0, 5.0};
  CHECK(way_until_out(straight, fifty, frequency_hz, 2.0, 50.0, 150.0).value() == Approx(0.5).epsilon(1e-12));
  CHECK(way_until_out(straight, fifty, frequency_hz, 2.0, 200.0, 50.0).value() == 0.0);
  CHECK_FALSE(way_until_out(straight, fifty, frequency_hz, 2.0, 50.0, 99.0));
  CHECK_FALSE(way_until_out(straight, fifty, frequency_hz, 2.0, 50.0, 50.0));
  Cases cases(34);
  int left = 0;
  for (int repeat = 0; repeat < 600; ++repeat) {
    const std::vector<Ladder> settings{cases.ladder(), cases.ladder()};
    const Source source = cases.source();
    const double limit = cases.spread(2.0, 8.0);
    const cdouble from = cases.load(), to = cases.load();
    const auto share = way_until_out(settings, source, frequency_hz, limit, from, to);
    const auto swr_at = [&](double t) { return least_swr(settings, source, from + t * (to - from)); };
    if (!share) {
      for (int k = 0; k <= 200; ++k) CHECK(swr_at(k / 200.0) <= limit * (1.0 + 1e-9));
      continue;
    }
    if (*share == 0.0) {
      CHECK(swr_at(0.0) >= limit * (1.0 - 1e-9));
      continue;
    }
    ++left;
    CHECK(std::abs(swr_at(*share) - limit) <= 1e-9 * limit);
    for (int k = 0; k <= 200; ++k) CHECK(swr_at(*share * k / 200.0) <= limit * (1.0 + 1e-9));
  }
  CHECK(left > 10);
}

TEST_CASE("what a reach cannot be asked is refused") {
  const std::vector<Ladder> straight{{{}}};
  CHECK_THROWS_AS(reach({}, {50.0, 5.0}, frequency_hz, 2.0, 50.0), DomainError);
  CHECK_THROWS_AS(reach(straight, {50.0, 5.0}, frequency_hz, 1.0, 50.0), DomainError);
  CHECK_THROWS_AS(reach(straight, {50.0, 5.0}, frequency_hz, 2.0, {-1.0, 0.0}), DomainError);
  CHECK_THROWS_AS(trace_reach(straight, {50.0, 5.0}, frequency_hz, 2.0, 50.0, 0.0), DomainError);
  CHECK_THROWS_AS(share_within_reach(straight, {50.0, 5.0}, frequency_hz, 2.0, {}), DomainError);
}
