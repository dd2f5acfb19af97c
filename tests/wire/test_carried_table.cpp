// What one setting of a match has to bear when a whip is carried: wire, hand, contact and choke, as a table.

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include <stile/wire/conditions.hpp>
#include <stile/wire/solve.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;

namespace {

/// The power that the worst of some antennas radiates with one setting for all of them: a series coil of Q 250 and a
/// lossless transformer, the best of a grid. Share of the available power.
double best_setting(const std::vector<AntennaSolution>& all) {
  double most_ohm = -HUGE_VAL, least_ohm = HUGE_VAL, best = 0.0;
  for (const AntennaSolution& s : all) {
    most_ohm = std::max(most_ohm, s.feed_ohm.imag());
    least_ohm = std::min(least_ohm, s.feed_ohm.imag());
  }
  for (int i = 0; i <= 60; ++i) {
    for (int k = 0; k <= 60; ++k) {
      const double x_ohm = least_ohm - 200.0 + (most_ohm - least_ohm + 400.0) * i / 60.0,
                   coil_ohm = std::abs(x_ohm) / 250.0, source_ohm = 3.0 * std::pow(1000.0, k / 60.0);
      double worst = 1.0;
      for (const AntennaSolution& s : all) {
        const cdouble z = s.feed_ohm + cdouble(coil_ohm, -x_ohm);
        const double accepted = 1.0 - std::norm((z - source_ohm) / (z + source_ohm));
        worst = std::min(worst, accepted * s.share.radiated * s.feed_ohm.real() / z.real());
      }
      best = std::max(best, worst);
    }
  }
  return best;
}

using Row = std::array<double, 4>;  // dB, with 2, 3, 5 and 8 m of wire

/// What stands on the page examples/studies, of which every row is computed here.
enum { untouched, hand, hand_300, hand_choked, anew, anew_300 };
using Losses = std::array<Row, 6>;

/// Mean over six bands of what the worst condition loses: lifted, on heather, in wet peat, and with a hand on the set
/// where it counts.
Losses carried_losses() {
  Losses losses{};
  const std::array<double, 4> wires_m{2.0, 3.0, 5.0, 8.0};
  const SolveOptions options = with_tables({});
  for (std::size_t n = 0; n < wires_m.size(); ++n) {
    for (const double f : {7.1e6, 10.12e6, 14.2e6, 18.1e6, 21.2e6, 28.5e6}) {
      WhipSet w;
      w.whip_length_m = 3.0;
      w.whip_radius_m = 0.0015;
      w.base_height_m = 1.2;
      w.gap_m = 0.02;
      w.wires = {{"wire", wires_m[n], 0.0005}};
      w.wires[0].lying_height_m = 0.02;
      w.ground = ground_by_name("medium dry");
      w.set = SetBody{};
      w.person = PersonBody{};
      const auto solved = [&](WhipCondition condition, double contact_ohm) {
        w.contact = {contact_ohm};
        const WireCase one = whip_condition(w, condition);
        REQUIRE(one.antenna.wires[one.antenna.lumps.at(0).wire].name ==
                (w.lumps.empty() ? "person's left leg" : "lead"));  // where the choke stands, or the first sole
        return solve_antenna(one.antenna, one.ground, f, options);
      };
      const auto three = [&] {
        return std::vector{solved(WhipCondition::lifted, 0.0), solved(WhipCondition::trailing_usual, 0.0),
                           solved(WhipCondition::lying_wet, 0.0)};
      };
      const auto with = [](std::vector<AntennaSolution> all, AntennaSolution one) {
        all.push_back(std::move(one));
        return all;
      };
      const auto each = [](const std::vector<AntennaSolution>& all) {
        double worst = 1.0;
        for (const AntennaSolution& s : all) worst = std::min(worst, best_setting({s}));
        return worst;
      };
      const std::vector<AntennaSolution> free = three();
      const std::vector<AntennaSolution> held = with(free, solved(WhipCondition::hand_on_set, 0.0)),
                                         held_300 = with(free, solved(WhipCondition::hand_on_set, 300.0));
      w.lumps = {{"lead", {0, 0.95, 0.0, 40e-6, std::numeric_limits<double>::infinity(), 3.0}}};
      const std::vector<AntennaSolution> choked = with(three(), solved(WhipCondition::hand_on_set, 0.0));
      const std::array<double, 6> share{best_setting(free),   best_setting(held), best_setting(held_300),
                                        best_setting(choked), each(held),         each(held_300)};
      for (std::size_t row = 0; row < share.size(); ++row) losses[row][n] -= 10.0 * std::log10(share[row]) / 6.0;
    }
  }
  return losses;
}

}  // namespace

TEST_CASE("what a hand, its contact, a choke and the wire decide, with one setting and set anew, is as the page says") {
  const Losses l = carried_losses();
  const Losses page{Row{8.0, 9.6, 11.6, 12.1},   Row{15.7, 13.4, 13.5, 13.1}, Row{15.1, 12.9, 13.3, 13.1},
                    Row{12.6, 12.0, 12.2, 13.1}, Row{13.7, 11.7, 11.9, 12.0}, Row{15.1, 12.6, 12.6, 12.6}};
  for (std::size_t row = 0; row < page.size(); ++row) {
    for (std::size_t n = 0; n < 4; ++n) {
      INFO("row " << row << ", wire " << n << ": " << l[row][n]);
      CHECK(std::abs(l[row][n] - page[row][n]) <= 0.06);
    }
  }
  // The same rows of a table of the project's own earlier model, thin cylinder for the person, not kept: feet off the
  // ground and no arm. Literals that nothing here computes; the page has them in brackets.
  const Losses thin{Row{8.1, 14.1, 15.3, 15.0},  Row{20.5, 18.3, 19.0, 17.3}, Row{16.8, 16.0, 16.5, 15.7},
                    Row{15.1, 16.0, 14.9, 15.1}, Row{9.6, 8.9, 11.0, 12.5},   Row{14.5, 12.0, 12.7, 13.4}};
  const auto directions = [](const Losses& of) {
    std::vector<bool> all;
    for (std::size_t n = 0; n < 4; ++n) {
      all.push_back(of[hand][n] > of[untouched][n]);            // a hand costs,
      all.push_back(of[anew][n] < of[hand][n]);                 // setting anew mends,
      all.push_back(of[anew_300][n] < of[hand_300][n] + 0.06);  // through 300 ohm does not cost more than 0.06 dB
      all.push_back(of[anew_300][n] > of[anew][n]);             // and ends worse than with a perfect contact.
    }
    for (std::size_t n = 0; n < 3; ++n) {
      all.push_back(of[hand_300][n] < of[hand][n]);     // Up to 5 m: the perfect contact is worse with one setting,
      all.push_back(of[hand_choked][n] < of[hand][n]);  // a choke helps,
      all.push_back(of[untouched][n] <
                    of[untouched][n + 1] + 0.4);  // and the next longer wire loses at most 0.4 dB less.
    }
    all.push_back(of[hand][0] - of[untouched][0] >
                  of[hand][3] - of[untouched][3] + 3.0);  // The shorter the wire the dearer a hand.
    return all;
  };
  CHECK(directions(l) == std::vector(26, true));
  // Wire by wire, what changes by more than 0.5 dB in both models changes the same way.
  struct Change {
    std::size_t from, to;
  };
  std::size_t compared = 0;
  for (const Change& c : {Change{untouched, hand}, Change{hand, anew}, Change{hand_300, anew_300},
                          Change{anew, anew_300}, Change{hand, hand_300}, Change{hand, hand_choked}}) {
    for (std::size_t n = 0; n < 4; ++n) {
      const double here_db = l[c.to][n] - l[c.from][n], there_db = thin[c.to][n] - thin[c.from][n];
      if (std::abs(here_db) <= 0.5 || std::abs(there_db) <= 0.5) continue;
      ++compared;
      INFO("row " << c.from << " to " << c.to << ", wire " << n << ": " << here_db << ", thin " << there_db);
      CHECK((here_db > 0.0) == (there_db > 0.0));
    }
  }
  CHECK(compared >= 16);  // of 24; 18 when written
  // Where the drawn person differs: little is left to gain by setting anew, since hand and arm heat instead of detune,
  // and with 8 m neither choke nor contact decides. The rows give 2.0 dB at most, 2.12 with 0.06 for each of two: 2.0
  // is less than they allow (computed here: 1.94, with 2 m). The thin cylinder's 4.8 to 10.9 dB is more by 3.7 at
  // least, with 8 m; 3.5 leaves the rows their 0.12.
  for (std::size_t n = 0; n < 4; ++n) {
    CHECK(l[hand][n] - l[anew][n] < 2.0);
    CHECK(thin[hand][n] - thin[anew][n] > l[hand][n] - l[anew][n] + 3.5);
  }
  CHECK(std::abs(l[hand_choked][3] - l[hand][3]) <= 0.1);
  CHECK(std::abs(l[hand_300][3] - l[hand][3]) <= 0.1);
}
