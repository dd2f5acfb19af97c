#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/match/load_limit.hpp>
#include <stile/match/real_parts.hpp>

using namespace stile;
using namespace stile::match;

namespace {

/// 20 ohm and 37 pF (-303 ohm at 14.2 MHz) from 13 to 15.5 MHz.
load::Load whip() {
  std::vector<double> f;
  std::vector<cdouble> z;
  for (double hz = 13e6; hz <= 15.5e6; hz += 0.1e6) {
    f.push_back(hz);
    z.emplace_back(20.0, -1.0 / (two_pi * hz * 37e-12));
  }
  return {"invented", "made here", load::make_sampled_load(f, z), {}};
}

MatchRequest request() {
  MatchRequest r;
  r.frequency_hz = 14.2e6;
  r.source = {50.0, 5.0};
  r.load = whip();
  r.stock.inductor_loss.q = 200.0;
  r.stock.capacitor_loss.q = 1000.0;
  return r;
}

}  // namespace

TEST_CASE("with exact parts a match is what solve_match gives, with its share of the widest band") {
  const auto plain = solve_match(request());
  const auto matches = match_with_real_parts(request(), {});
  REQUIRE(!plain.empty());
  REQUIRE(matches.size() == plain.size());
  const double widest_hz = load_limit(whip(), 14.2e6, 2.0).widest_band_hz.value();
  for (std::size_t n = 0; n < matches.size(); ++n) {
    CHECK(describe(matches[n].built()) == describe(plain[n].ladder));
    CHECK(!matches[n].preferred.has_value());
    CHECK(!matches[n].spread.has_value());
    REQUIRE(matches[n].share_of_widest_band.has_value());
    CHECK(*matches[n].share_of_widest_band == plain[n].bandwidth.width_hz() / widest_hz);
  }
  // A load that does not change has no share.
  MatchRequest unchanging = request();
  unchanging.load.model = load::ConstantLoad{{20.0, -300.0}};
  for (const RealMatch& m : match_with_real_parts(unchanging, {})) CHECK(!m.share_of_widest_band.has_value());
}

TEST_CASE("preferred values are those next to each solution, and tolerances are of what is built") {
  const MatchRequest r = request();
  const cdouble z = load::load_impedance(r.load, r.frequency_hz);
  RealParts parts;
  parts.capacitor_series = ESeries::e12;
  parts.tolerances = Tolerances{0.0, 0.0, 2.0, 10, 1};
  const auto matches = match_with_real_parts(r, parts);
  REQUIRE(!matches.empty());
  double least = network::infinite;
  for (const RealMatch& m : matches) {
    REQUIRE(m.preferred.has_value());
    REQUIRE(m.spread.has_value());
    const Snapped snapped = snap_to_series(m.solution.ladder, r.source, r.frequency_hz, z, std::nullopt, ESeries::e12);
    CHECK(describe(m.built()) == describe(snapped.ladder));
    CHECK(m.built_evaluation().swr == snapped.evaluation.swr);
    // Parts without tolerance: every draw is what is built, not the exact solution.
    CHECK(std::abs(m.spread->worst_swr - m.built_evaluation().swr) <= 1e-12 * m.spread->worst_swr);
    least = std::min(least, snapped.evaluation.swr);
  }
  CHECK(least_built_swr(matches) == least);
  CHECK(
      std::any_of(matches.begin(), matches.end(), [](const RealMatch& m) { return m.built_evaluation().swr > 1.01; }));
  CHECK(!least_built_swr({}).has_value());

  parts = {};
  parts.tolerances = Tolerances{0.0, 0.0, 2.0, 10, 1};
  for (const RealMatch& m : match_with_real_parts(r, parts)) {
    CHECK(!m.preferred.has_value());
    REQUIRE(m.spread.has_value());
    CHECK(std::abs(m.spread->worst_swr - 1.0) <= 1e-8);
  }
}

TEST_CASE("the worst SWR of a per cent off is that of the worst part") {
  MatchSolution s;
  s.evaluation.swr = 1.1;
  CHECK(worst_swr_at_one_percent(s) == 1.1);
  s.swr_at_one_percent = {1.05, 1.3, 1.2};
  CHECK(worst_swr_at_one_percent(s) == 1.3);
}

TEST_CASE("the SWR across a band has the band's ends at the limit and each value of the evaluation") {
  const MatchRequest r = request();
  RealParts parts;
  parts.tolerances = Tolerances{0.05, 0.02, 2.0, 50, 1};
  const auto matches = match_with_real_parts(r, parts);
  REQUIRE(!matches.empty());
  const RealMatch& m = matches.front();
  const SwrAcross across = swr_across(r, parts, m);
  CHECK(across.band.low_hz == m.solution.bandwidth.low_hz);
  CHECK(across.band.high_hz == m.solution.bandwidth.high_hz);
  REQUIRE(across.frequency_hz.size() >= 61);
  REQUIRE(across.swr.size() == across.frequency_hz.size());
  REQUIRE(across.swr_95.size() == across.swr.size());
  REQUIRE(across.worst_swr.size() == across.swr.size());
  CHECK(across.frequency_hz.front() < across.band.low_hz);
  CHECK(across.frequency_hz.back() > across.band.high_hz);
  bool low = false, design = false;
  for (std::size_t n = 0; n < across.swr.size(); ++n) {
    const double f = across.frequency_hz[n];
    if (n > 0) CHECK(f > across.frequency_hz[n - 1]);
    const cdouble z = load::load_impedance(r.load, f);
    CHECK(across.swr[n] == network::evaluate(m.built(), r.source, f, z).swr);
    CHECK(across.worst_swr[n] == tolerance_spread(m.built(), r.source, f, z, *parts.tolerances).worst_swr);
    CHECK(across.swr_95[n] <= across.worst_swr[n]);
    if (f == across.band.low_hz) {
      low = true;
      CHECK(std::abs(across.swr[n] - 2.0) <= 1e-6);
    }
    if (f == r.frequency_hz) {
      design = true;
      CHECK(across.swr[n] <= 1.0 + 1e-8);
    }
  }
  CHECK(low);
  CHECK(design);
  CHECK(swr_across(r, {}, matches.front()).worst_swr.empty());

  // A band that is none has 2 % to each side.
  MatchRequest narrow = r;
  narrow.swr_limit = 1.0 + 1e-12;
  RealParts coarse;
  coarse.inductor_series = coarse.capacitor_series = ESeries::e3;
  const auto off = match_with_real_parts(narrow, coarse);
  REQUIRE(!off.empty());
  const SwrAcross none = swr_across(narrow, coarse, off.front());
  CHECK(none.band.width_hz() == 0.0);
  CHECK(none.frequency_hz.front() == Approx(0.98 * 14.2e6));
  CHECK(none.frequency_hz.back() == Approx(1.02 * 14.2e6));
}

TEST_CASE("real parts refuse a frequency without data") {
  MatchRequest r = request();
  r.frequency_hz = 20e6;
  CHECK_THROWS_AS(match_with_real_parts(r, {}), DomainError);
}
