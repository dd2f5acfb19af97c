#include <cmath>

#include <catch2/catch.hpp>

#include <stile/tuner/coverage.hpp>
#include <stile/tuner/detail/disc.hpp>
#include <tuner/random_tuner.hpp>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

using namespace stile;
using namespace stile::tuner;
using stile::tuner::detail::DiscKind, stile::tuner::detail::swr_disc, stile::tuner::detail::swr_discs,
    stile::tuner::detail::SwrDisc;

namespace {

cdouble load_of(cdouble gamma, double reference) { return reference * (1.0 + gamma) / (1.0 - gamma); }

}  // namespace

TEST_CASE("on the edge of every state's disc the SWR is the limit") {
  test::RandomTuners random(41);
  int edges = 0;
  for (const TunerForm form : test::forms) {
    for (int repeat = 0; repeat < 20; ++repeat) {
      const Tuner t = random.tuner(form);
      const TunerTable table = tabulate(t, random.frequency_hz());
      const cdouble source = random.source();
      const double limit = random.spread(1.05, 8.0), reference = random.spread(10.0, 300.0);
      const std::vector<SwrDisc> discs = swr_discs(t, table, source, limit, reference);
      REQUIRE(discs.size() == state_count(t));
      for (std::uint64_t index = 0; index < discs.size(); ++index) {
        const TunerState s = tuner_state(t, index);
        const SwrDisc& disc = discs[index];
        CHECK((disc.kind == DiscKind::none) == !test::passes(t, s));
        if (disc.kind != DiscKind::inside && disc.kind != DiscKind::outside) continue;
        for (int k = 0; k < 8; ++k) {
          const cdouble gamma = disc.centre + std::polar(disc.radius, k * two_pi / 8);
          if (std::abs(gamma) > 0.999)
            continue;  // no passive load, or one so reactive that Z itself is lost in rounding
          const network::Evaluation e = network::evaluate(network::Ladder{tuner_elements(t, s)}, {source, 1.0},
                                                          table.frequency_hz, load_of(gamma, reference));
          INFO("form " << static_cast<int>(form) << " state " << index << " gamma " << gamma);
          CHECK(std::abs(e.swr - limit) <= 1e-9 * limit);
          ++edges;
        }
      }
    }
  }
  CHECK(edges > 2000);
}

TEST_CASE("a load is in a disc exactly when the state brings it to the limit") {
  test::RandomTuners random(42);
  int in = 0, out = 0;
  for (const TunerForm form : test::forms) {
    for (int repeat = 0; repeat < 40; ++repeat) {
      const Tuner t = random.tuner(form);
      const TunerTable table = tabulate(t, random.frequency_hz());
      const cdouble source = random.source();
      const std::vector<SwrDisc> discs = swr_discs(t, table, source, 3.0, 50.0);
      for (std::uint64_t index = 0; index < discs.size(); index += 2) {
        const TunerState s = tuner_state(t, index);
        if (!test::passes(t, s)) continue;
        const cdouble gamma = std::polar(0.99 * std::sqrt(random.between(0.0, 1.0)), random.between(-3.1, 3.1));
        const double swr = network::evaluate(network::Ladder{tuner_elements(t, s)}, {source, 1.0}, table.frequency_hz,
                                             load_of(gamma, 50.0))
                               .swr;
        INFO("form " << static_cast<int>(form) << " state " << index << " gamma " << gamma << " swr " << swr);
        CHECK(discs[index].contains(gamma) == (swr <= 3.0));
        ++(swr <= 3.0 ? in : out);
      }
    }
  }
  CHECK(in > 100);
  CHECK(out > 1000);
}

TEST_CASE("a state that hides the load reaches the limit outside a disc") {
  // 20 dB of 50 ohm pad.
  const network::Chain pad = network::cascade(
      network::cascade(network::series_chain(40.91), network::shunt_chain(1.0 / 10.10)), network::series_chain(40.91));
  const cdouble source{50.0, 0.0};
  const SwrDisc disc = swr_disc(pad, source, 1.015, 50.0);
  REQUIRE(disc.kind == DiscKind::inside);
  // The same pad against an SWR that every passive load keeps: the whole of |Gamma| <= 1 is within.
  for (const double limit : {1.03, 5.0, 200.0}) {
    const SwrDisc wide = swr_disc(pad, source, limit, 50.0);
    for (int k = 0; k < 12; ++k) CHECK(wide.contains(std::polar(1.0, k * two_pi / 12)));
  }
  // Seen from a source of another impedance the pad's output reflection counts, and the kind turns over.
  const SwrDisc turned = swr_disc(network::cascade(pad, network::series_chain(200.0)), {52.0, 5.0}, 3.0, 50.0);
  CHECK(turned.kind == DiscKind::outside);
  CHECK(turned.contains(0.0));
}

TEST_CASE("a straight connection has the disc of the limit itself") {
  const SwrDisc disc = swr_disc({}, 50.0, 2.0, 50.0);
  CHECK(disc.kind == DiscKind::inside);
  CHECK(std::abs(disc.centre) <= 1e-15);
  CHECK(std::abs(disc.radius - 1.0 / 3.0) <= 1e-15);
  CHECK_THROWS_MATCHES(swr_disc({}, 50.0, 0.9, 50.0), DomainError,
                       Catch::Matchers::Message("swr_limit is 0.9 and must be >= 1 and finite"));
  CHECK_THROWS_AS(swr_disc({}, 50.0, network::infinite, 50.0), DomainError);
  CHECK_THROWS_AS(swr_disc({}, 50.0, 2.0, 0.0), DomainError);
  CHECK_THROWS_AS(swr_disc({}, -50.0, 2.0, 50.0), DomainError);
}

TEST_CASE("coverage of a by-passed tuner is all or nothing") {
  Tuner t;  // a femtofarad: nothing at all
  t.capacitors.values_f = {1e-21};
  const TunerTable table = tabulate(t, 1e3);
  const double circles[] = {1.5, 3.0}, limits[] = {2.0, 3.5};
  const std::vector<Coverage> rows = coverage(t, table, 50.0, circles, limits);
  REQUIRE(rows.size() == 4);
  CHECK(rows[0].fraction == 1.0);
  CHECK(rows[1].fraction == 1.0);
  CHECK(rows[2].fraction == 0.0);
  CHECK(rows[2].load_swr == 3.0);
  CHECK(rows[2].swr_limit == 2.0);
  CHECK(rows[3].fraction == 1.0);
}

TEST_CASE("coverage is the share that a fine walk around the circle finds") {
  test::RandomTuners random(43);
  for (const TunerForm form : test::forms) {
    const Tuner t = random.tuner(form);
    const TunerTable table = tabulate(t, 7.1e6);
    const double circles[] = {2.0, 5.0, 10.0}, limits[] = {1.5, 2.0, 3.0};
    const std::vector<Coverage> rows = coverage(t, table, 50.0, circles, limits);
    constexpr int points = 4000;
    for (const Coverage& row : rows) {
      int reached = 0;
      for (int n = 0; n < points; ++n) {
        const double size = (row.load_swr - 1.0) / (row.load_swr + 1.0);
        const cdouble z = load_of(std::polar(size, (n + 0.5) * two_pi / points), 50.0);
        if (choose_state(t, table, 50.0, z, row.swr_limit).least_loss.status == TunerStatus::found) ++reached;
      }
      INFO("form " << static_cast<int>(form) << " circle " << row.load_swr << " limit " << row.swr_limit);
      // every end of an arc may cost the walk half a point; there are at most some forty
      CHECK(std::abs(row.fraction - static_cast<double>(reached) / points) <= 20.0 / points);
    }
  }
  const double bad[] = {1.0}, limit[] = {2.0};
  const Tuner t = random.tuner(TunerForm::l);
  CHECK_THROWS_AS(coverage(t, tabulate(t, 7e6), 50.0, bad, limit), DomainError);
}

TEST_CASE("coverage is within 1e-9 of the arcs that direct search bounds") {
  // Ends of arcs by halving between neighbours of a walk in which one is within the limit and the other is not. A gap
  // or an arc narrower than a step of the walk would be missed; with these start values there is none.
  test::RandomTuners random(44);
  for (const TunerForm form : test::forms) {
    const Tuner t = random.tuner(form);
    const TunerTable table = tabulate(t, 7.1e6);
    const double circles[] = {2.0, 5.0}, limits[] = {1.5, 3.0};
    for (const Coverage& row : coverage(t, table, 50.0, circles, limits)) {
      const double size = (row.load_swr - 1.0) / (row.load_swr + 1.0);
      const auto within = [&](double angle) {
        const cdouble z = load_of(std::polar(size, angle), 50.0);
        return choose_state(t, table, 50.0, z, row.swr_limit).least_loss.status == TunerStatus::found;
      };
      constexpr int points = 4000;
      double reached = 0.0;
      for (int n = 0; n < points; ++n) {
        double low = n * two_pi / points, high = (n + 1) * two_pi / points;
        const double from = low, to = high;
        const bool at_low = within(low), at_high = within(high);
        if (at_low && at_high) reached += to - from;
        if (at_low == at_high) continue;
        while (high - low > 1e-12) (within(0.5 * (low + high)) == at_low ? low : high) = 0.5 * (low + high);
        reached += at_low ? low - from : to - high;
      }
      INFO("form " << static_cast<int>(form) << " circle " << row.load_swr << " limit " << row.swr_limit);
      CHECK(std::abs(row.fraction - reached / two_pi) <= 1e-9);
    }
  }
}

TEST_CASE("discs of absurd parts and limits come to an end") {
  Tuner t;
  t.inductors.values_h = {1e-6};
  t.inductors.stray_h = 1e194;  // "1e200 uH"
  t.capacitors.values_f = {1e-10};
  const TunerTable table = tabulate(t, 7.1e6);
  for (const SwrDisc& disc : swr_discs(t, table, 50.0, 2.0, 50.0)) CHECK_FALSE(disc.contains(0.3));
  const double circles[] = {2.0}, limits[] = {2.0};
  CHECK(coverage(t, table, 50.0, circles, limits)[0].fraction == 0.0);
  // So great a limit that its neighbour is itself: every load with resistance is within.
  CHECK(swr_disc({}, 50.0, 1e17, 50.0).contains(0.9));
  CHECK(swr_disc({}, 50.0, 1e300, 50.0).contains({0.0, -0.9}));
}
