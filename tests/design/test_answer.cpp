// What is asked of a search when it is over: frontiers, bands, wires, lengths, a hand on the set.

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/design/answer.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/brief.hpp>
#include <stile/station/solve_loads.hpp>

#include "design/briefs.hpp"
#include "temporary_folder.hpp"

using namespace stile;
using namespace stile::design;
using test::brief_text;
using test::BriefParts;
using test::within;

namespace {

station::Brief brief_of(const std::string& text) { return station::read_brief(text, "test"); }

const std::string masses =
    "[mass]\n\"base coil\" = \"250 g\"\n\"L network\" = \"300 g\"\ntransformer = \"90 g\"\ntuner = \"450 g\"\n";

struct Found {
  station::Brief brief;
  Design design;
};

Found searched(const std::string& text, Objective objective, std::optional<Touch> touch = {}) {
  SearchOptions options;
  options.objective = objective;
  options.touch = touch;
  options.look_around = false;
  Found s{brief_of(text), {}};
  s.design = find_stations(s.brief, options);
  return s;
}

bool beats(Objective objective, const DesignedStation& a, const DesignedStation& b, double cost_a, double cost_b) {
  const bool held = objective == Objective::held;
  if (cost_a > cost_b || a.objective_db > b.objective_db || (held && a.held_bands < b.held_bands)) return false;
  return cost_a < cost_b || a.objective_db < b.objective_db || (held && a.held_bands > b.held_bands);
}

/// A brief of one antenna with a transformer: nothing is searched but the match.
std::string one_antenna_text() {
  BriefParts parts;
  parts.kinds = R"(["transformer"])";
  parts.whip = R"({ length = "2.5 m", radius = "1.5 mm", metal = "stainless steel" })";
  parts.counterpoise = R"({ wires = 1, length = "4 m", radius = "0.5 mm", metal = "copper" })";
  return brief_text(parts);
}

std::string replaced(std::string text, const std::string& what, const std::string& by) {
  const std::size_t place = text.find(what);
  REQUIRE(place != std::string::npos);
  return text.replace(place, what.size(), by);
}

Answer answered(const std::string& text) {
  const Found s = searched(text, Objective::mean);
  return answer(s.brief, s.design);
}

}  // namespace

TEST_CASE("nothing is dominated on a frontier, by what was found or by any antenna that was tried") {
  const Objective objective = GENERATE(Objective::mean, Objective::held);
  BriefParts parts;
  parts.kinds = R"(["base coil", "L network", "transformer", "tuner", "straight"])";
  parts.more = masses;
  const Found s = searched(brief_text(parts), objective);
  const Frontiers f = answer(s.brief, s.design).frontiers;
  CHECK(f.compared == s.design.tried.size());
  REQUIRE(f.by_mass.size() >= 3);
  REQUIRE(f.by_hands.size() >= 2);
  const auto mass = [](const DesignedStation& d) { return d.mass_kg; };
  const auto hands = [](const DesignedStation& d) { return static_cast<double>(touches_of(d)); };
  const auto check = [&](const std::vector<std::size_t>& of, const auto& cost) {
    for (std::size_t k = 0; k < of.size(); ++k) {
      const DesignedStation& here = f.stations.at(of[k]);
      if (k > 0) CHECK(cost(f.stations[of[k - 1]]) <= cost(here));
      for (const std::size_t other : of)
        CHECK_FALSE(beats(objective, f.stations[other], here, cost(f.stations[other]), cost(here)));
      for (const DesignedStation& best : s.design.stations)
        CHECK_FALSE(beats(objective, best, here, cost(best), cost(here)));
    }
  };
  check(f.by_mass, mass);
  check(f.by_hands, hands);
  // Against all that the search scored: none is as light and better by more than the frontier leaves out, 0.01 dB for
  // the search's own error.
  for (const TriedStation& t : s.design.tried) {
    const bool covered = std::any_of(f.by_mass.begin(), f.by_mass.end(), [&](std::size_t n) {
      const DesignedStation& d = f.stations[n];
      return d.mass_kg <= t.mass_kg + 1e-12 && d.objective_db <= t.objective_db + f.least_gain_db + 0.01 &&
             (objective == Objective::mean || d.held_bands >= t.held_bands);
    });
    CAPTURE(t.antenna.whip_m, t.network, t.mass_kg, t.objective_db, t.held_bands);
    CHECK(covered);
  }
  // The best of all is on the frontier of mass: nothing beats it.
  CHECK(std::any_of(f.by_mass.begin(), f.by_mass.end(),
                    [&](std::size_t n) { return f.stations[n].antenna == s.design.stations.front().antenna; }));
}

TEST_CASE("stations of a frontier have the figures of a plan on their files, within 1e-6 dB") {
  BriefParts parts;
  parts.kinds = R"(["base coil", "transformer"])";
  parts.more = masses;
  const Found s = searched(brief_text(parts), Objective::held);
  const Frontiers f = answer(s.brief, s.design).frontiers;
  REQUIRE(f.stations.size() > s.design.stations.size());
  std::vector<std::string> names;
  const stile::temporary::Folder made;
  const std::filesystem::path& folder = made.path();
  for (const DesignedStation& d : f.stations) {
    names.push_back(d.station_file);
    std::ofstream(folder / d.station_file) << d.station_text;
    std::ofstream(folder / d.wires_file) << d.wires_text;
    const station::Station read = station::load_station((folder / d.station_file).string());
    const plan::Plan plan = plan::plan_as_stated(station::solve_loads(read));
    double sum = 0.0;
    for (const plan::BandResult& band : plan.bands) sum += band.arrangements.front().counted_db;
    CHECK(d.objective_db == within(sum / 2.0, 1e-6));
  }
  std::sort(names.begin(), names.end());
  CHECK(std::adjacent_find(names.begin(), names.end()) == names.end());
}

TEST_CASE("without stated masses there is a frontier of hands and none of mass") {
  BriefParts parts;
  parts.kinds = R"(["base coil", "transformer"])";
  const Found s = searched(brief_text(parts), Objective::mean);
  const Frontiers f = answer(s.brief, s.design).frontiers;
  CHECK(f.by_mass.empty());
  CHECK_FALSE(f.by_hands.empty());
}

TEST_CASE("hands: nothing is touched of a transformer, of a trimmed coil something at bands and conditions") {
  BriefParts parts;
  parts.kinds = R"(["base coil", "transformer"])";
  parts.whip = R"({ length = "2.5 m", radius = "1.5 mm", metal = "stainless steel" })";
  parts.counterpoise = R"({ wires = 1, length = "4 m", radius = "0.5 mm", metal = "copper" })";
  const Found s = searched(brief_text(parts), Objective::mean);
  for (const DesignedStation& d : s.design.stations) {
    if (d.touch == Touch::nothing) {
      CHECK(d.hands == 0);
      CHECK(d.hands_between_bands == 0);
      CHECK(touches_of(d) == 0);
    } else {
      CHECK((d.hands > 0) == (d.touch == Touch::condition));
      CHECK(d.hands_between_bands > 0);
    }
  }
}

TEST_CASE("what a band costs the others is what a search without it finds, where all antennas were tried") {
  // No match is skipped here, since the bound of each antenna is that of two bands: touch band alone, all its antennas
  // scored.
  BriefParts parts;
  parts.kinds = R"(["base coil"])";
  const Found s = searched(brief_text(parts), Objective::mean, Touch::band);
  const std::vector<BandCost> costs = answer(s.brief, s.design).bands;
  REQUIRE(costs.size() == 2);
  for (const BandCost& c : costs) {
    CHECK(c.without_db <= c.others_db);
    const std::size_t other = c.band == "40 m" ? 1 : 0;
    CHECK(c.others_db == within(s.design.stations.front().bands[other].counted_db, 1e-9));
    double least_db = HUGE_VAL;
    for (const TriedStation& t : s.design.tried) least_db = std::min(least_db, t.counted_db[other]);
    CHECK(c.without_db == within(std::min(least_db, c.others_db), 1e-9));
    BriefParts one = parts;
    const std::size_t second = one.bands.rfind("[[band]]");
    one.bands = other == 0 ? one.bands.substr(0, second) : one.bands.substr(second);
    const Found alone = searched(brief_text(one), Objective::mean, Touch::band);
    CHECK(c.without_db == within(alone.design.stations.front().objective_db, 0.01));
  }
  BriefParts one = parts;
  one.bands = one.bands.substr(0, one.bands.rfind("[[band]]"));
  const Found alone = searched(brief_text(one), Objective::mean);
  CHECK(answer(alone.brief, alone.design).bands.empty());
}

TEST_CASE("what a wire is for is what a station without it loses, band by band") {
  BriefParts parts;
  parts.kinds = R"(["base coil"])";
  parts.whip = R"({ length = "2.5 m", radius = "1.5 mm", metal = "stainless steel" })";
  parts.counterpoise = R"({ wires = 2, length = ["3 m", "5 m"], step = "2 m", radius = "0.5 mm", metal = "copper" })";
  const Found two = searched(brief_text(parts), Objective::mean, Touch::band);
  const DesignedStation& first = two.design.stations.front();
  const std::vector<WireUse> uses = answer(two.brief, two.design).wires;
  const bool equal = first.antenna.wires_m[0] == first.antenna.wires_m[1];
  REQUIRE(uses.size() == (equal ? 1 : 2));
  for (std::size_t w = 0; w < uses.size(); ++w) {
    REQUIRE(uses[w].possible);
    BriefParts one = parts;
    one.counterpoise = fmt::format("{{ wires = 1, length = {}, radius = \"0.5 mm\", metal = \"copper\" }}",
                                   first.antenna.wires_m[1 - w]);
    const Found without = searched(brief_text(one), Objective::mean, Touch::band);
    const DesignedStation& other = without.design.stations.front();
    CHECK(uses[w].lost_db == within(other.objective_db - first.objective_db, 0.02));
    REQUIRE(uses[w].on_band_db.size() == 2);
    for (std::size_t b = 0; b < 2; ++b)
      CHECK(uses[w].on_band_db[b] == within(other.bands[b].counted_db - first.bands[b].counted_db, 0.02));
  }
}

TEST_CASE("lengths to avoid: more than 3 dB is lost there and not elsewhere, and half waves lie where the wire's line "
          "has them") {
  BriefParts parts;
  parts.kinds = R"(["transformer"])";
  parts.counterpoise = R"({ wires = 1, length = ["1 m", "12 m"], step = "1 m", radius = "0.5 mm", metal = "copper" })";
  const Found s = searched(brief_text(parts), Objective::mean);
  const Answer a = answer(s.brief, s.design);
  REQUIRE(a.scans.size() == 2);
  CHECK(a.scans[0].what == "whip length");
  CHECK(a.scans[1].what == "wire length");
  CHECK(a.scans[1].length_m == std::vector<double>{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12});
  std::size_t told = 0;
  for (const LengthScan& scan : a.scans) {
    for (std::size_t b = 0; b < 2; ++b) {
      double least_db = HUGE_VAL;
      for (const auto& at : scan.counted_db) least_db = std::min(least_db, at[b]);
      const auto one = std::find_if(a.avoid.begin(), a.avoid.end(), [&](const Avoid& v) {
        return v.what == scan.what && v.band == s.brief.given.bands[b].name;
      });
      for (std::size_t k = 0; k < scan.length_m.size(); ++k) {
        const bool named =
            one != a.avoid.end() && std::any_of(one->loses.begin(), one->loses.end(), [&](const Range& r) {
              return r.low <= scan.length_m[k] && scan.length_m[k] <= r.high;
            });
        CHECK(named == (scan.counted_db[k][b] > least_db + avoid_db));
        told += named ? 1U : 0U;
      }
      if (scan.what == "wire length" && s.brief.given.bands[b].name == "20 m") {
        REQUIRE(one != a.avoid.end());
        REQUIRE_FALSE(one->half_wave.empty());
        // Half a wave in air is 10.6 m at 14.1 MHz; a lying wire is slower.
        CHECK(one->half_wave.front().low > 3.0);
        CHECK(one->half_wave.front().high < 10.6);
      }
    }
  }
  CHECK(told > 0);
}

TEST_CASE("a brief without a hand has the winner with one beside it, as set and set anew") {
  BriefParts parts;
  parts.kinds = R"(["base coil"])";
  const Found s = searched(brief_text(parts), Objective::mean, Touch::band);
  const auto hand = answer(s.brief, s.design).hand;
  REQUIRE(hand);
  CHECK(hand->conditions.find("hand on the set") != std::string::npos);
  REQUIRE(hand->as_set);
  // More conditions never make the worst better, and setting anew is never worse than leaving it.
  CHECK(hand->as_set->objective_db >= s.design.stations.front().objective_db - 1e-6);
  CHECK(hand->anew.objective_db <= hand->as_set->objective_db + 0.02);
  CHECK(hand->anew.antenna == s.design.stations.front().antenna);
  // The figures are those of a brief that has the hand and this antenna alone.
  BriefParts one = parts;
  one.whip =
      fmt::format("{{ length = {}, radius = \"1.5 mm\", metal = \"stainless steel\" }}", hand->anew.antenna.whip_m);
  one.counterpoise = fmt::format("{{ wires = 1, length = {}, radius = \"0.5 mm\", metal = \"copper\" }}",
                                 hand->anew.antenna.wires_m.front());
  const std::string with_hand = "\n[[condition]]\nname = \"hand on the set\"\nkind = \"hand on set\"\n";
  const Found with = searched(brief_text(one) + with_hand, Objective::mean, Touch::band);
  CHECK_FALSE(answer(with.brief, with.design).hand);
  CHECK(with.design.stations.front().objective_db == within(hand->anew.objective_db, 1e-6));
  // Where all lengths may be chosen with the hand in view, the best is no worse than this antenna, which is among them.
  const Found free = searched(brief_text(parts) + with_hand, Objective::mean, Touch::band);
  CHECK_FALSE(answer(free.brief, free.design).hand);
  CHECK(free.design.stations.front().objective_db <= hand->anew.objective_db + 1e-6);
  if (free.design.stations.front().antenna == hand->anew.antenna)
    CHECK(free.design.stations.front().objective_db == within(hand->anew.objective_db, 1e-6));
  const Found trimmed = searched(brief_text(parts), Objective::mean, Touch::condition);
  const auto by_hand = answer(trimmed.brief, trimmed.design).hand;
  REQUIRE(by_hand);
  CHECK_FALSE(by_hand->as_set);  // it has no setting for a hand that it was not shown
}

TEST_CASE("an answer is the same for any number of threads, and stops when it is told to") {
  BriefParts parts;
  parts.kinds = R"(["base coil", "transformer"])";
  parts.more = masses;
  const Found s = searched(brief_text(parts), Objective::held);
  AnswerOptions one, three;
  one.threads = 1;
  three.threads = 3;
  const Answer a = answer(s.brief, s.design, one), b = answer(s.brief, s.design, three);
  REQUIRE(a.frontiers.stations.size() == b.frontiers.stations.size());
  for (std::size_t n = 0; n < a.frontiers.stations.size(); ++n)
    CHECK(a.frontiers.stations[n].station_text == b.frontiers.stations[n].station_text);
  REQUIRE(a.scans.size() == b.scans.size());
  REQUIRE_FALSE(a.scans.empty());
  for (std::size_t n = 0; n < a.scans.size(); ++n) CHECK(a.scans[n].counted_db == b.scans[n].counted_db);
  REQUIRE((a.hand && b.hand));
  CHECK(a.hand->anew.station_text == b.hand->anew.station_text);
  REQUIRE(a.wires.size() == b.wires.size());
  for (std::size_t n = 0; n < a.wires.size(); ++n) CHECK(a.wires[n].on_band_db == b.wires[n].on_band_db);
  REQUIRE(a.bands.size() == b.bands.size());
  for (std::size_t n = 0; n < a.bands.size(); ++n) CHECK(a.bands[n].without_db == b.bands[n].without_db);
  AnswerOptions stopped;
  stopped.stop = [] { return true; };
  const Answer none = answer(s.brief, s.design, stopped);
  CHECK(none.unfinished);
  CHECK(none.scans.empty());
  CHECK_FALSE(none.hand);
}

TEST_CASE("a map of lengths has the search's figures, and the best is marked where it is") {
  BriefParts parts;
  parts.kinds = R"(["base coil"])";
  const Found s = searched(brief_text(parts), Objective::mean, Touch::band);
  const LengthMap map = length_map(s.brief, s.design, 3, 3);
  CHECK(map.whip_m == std::vector<double>{2.0, 2.5, 3.0});
  CHECK(map.wire_m == std::vector<double>{3.0, 4.5, 6.0});
  REQUIRE(map.objective_db.size() == 9);
  CHECK(map.best_whip_m == s.design.stations.front().antenna.whip_m);
  CHECK(map.best_wire_m == s.design.stations.front().antenna.wires_m.front());
  for (std::size_t k = 0; k < 9; ++k) {  // each is one of the brief's steps: the search scored it
    const auto same = std::find_if(s.design.tried.begin(), s.design.tried.end(), [&](const TriedStation& t) {
      return t.antenna.whip_m == map.whip_m[k % 3] && t.antenna.wires_m.front() == map.wire_m[k / 3];
    });
    REQUIRE(same != s.design.tried.end());
    CHECK(map.objective_db[k] == within(same->objective_db, 1e-9));
  }
  CHECK(*std::min_element(map.objective_db.begin(), map.objective_db.end()) == within(map.best_db, 0.01));
  CHECK_THROWS_AS(length_map(s.brief, s.design, 1, 3), DomainError);
  CHECK_THROWS_AS(length_map(s.brief, {}, 3, 3), DomainError);
}

TEST_CASE("a frontier ends where every heavier antenna holds a band more") {
  // Nine and more numbers of bands that hold, each with a heavier whip: no gain in dB leaves few of them.
  std::string text = R"([brief]
name = "many bands"
[transmitter]
power = "5 W"
swr_limit = 1.6
[antenna]
whip = { length = ["1 m", "6 m"], step = "0.25 m", radius = "1.5 mm", metal = "stainless steel" }
counterpoise = { wires = 1, length = "4 m", radius = "0.5 mm", metal = "copper" }
base_height = "1.3 m"
gap = "20 mm"
drop_distance = "1.2 m"
[[condition]]
name = "dry"
ground = "medium dry"
[network]
kinds = ["tuner"]
[mass]
tuner = "300 g"
[tuner]
form = "L"
[tuner.inductors]
values = ["0.1 uH", "0.2 uH", "0.4 uH", "0.8 uH", "1.6 uH", "3.2 uH", "6.4 uH"]
q = 120
[tuner.capacitors]
values = ["10 pF", "20 pF", "40 pF", "80 pF", "160 pF", "320 pF", "640 pF", "1280 pF"]
q = 1000
)";
  for (int n = 0; n < 24; ++n) {
    const double mhz = 3.5 * std::pow(1.0786, n);
    text +=
        fmt::format("[[band]]\nname = \"b{0}\"\nlow = \"{1:.3f} MHz\"\nhigh = \"{2:.3f} MHz\"\nuse = [\"{3:.3f} MHz\", "
                    "\"{3:.3f} MHz\"]\n",
                    n, mhz - 0.02, mhz + 0.02, mhz);
  }
  const station::Brief brief = station::read_brief(text, "b.toml");
  const Design design = find_stations(brief);
  const Answer a = answer(brief, design);
  const Frontiers& f = a.frontiers;
  REQUIRE(f.by_mass.size() >= 2);
  CHECK(f.by_mass.size() <= 9);  // eight, and the best of a class
  // Without a cap more than eight would stay, whatever a heavier one gains: each holds a band more than all that are
  // lighter.
  std::vector<TriedStation> tried = design.tried;
  std::sort(tried.begin(), tried.end(), [](const TriedStation& x, const TriedStation& y) {
    return x.mass_kg != y.mass_kg ? x.mass_kg < y.mass_kg : x.held_bands > y.held_bands;
  });
  std::size_t records = 0, most_held = 0;
  for (const TriedStation& t : tried) {
    if (records > 0 && t.held_bands <= most_held) continue;
    ++records;
    most_held = t.held_bands;
  }
  REQUIRE(records > 8);
  CHECK(f.left_out >= records - 8);
  std::size_t compared = 0;
  for (std::size_t k = 1; k < f.by_mass.size(); ++k) {
    const DesignedStation &light = f.stations[f.by_mass[k - 1]], &heavy = f.stations[f.by_mass[k]];
    CHECK(light.mass_kg <= heavy.mass_kg);
    for (const std::size_t n : f.by_mass) {
      const DesignedStation& other = f.stations[n];
      const bool as_good = other.mass_kg <= heavy.mass_kg && other.objective_db <= heavy.objective_db &&
                           other.held_bands >= heavy.held_bands;
      const bool better = other.mass_kg < heavy.mass_kg || other.objective_db < heavy.objective_db ||
                          other.held_bands > heavy.held_bands;
      CHECK_FALSE((as_good && better));
    }
    // What is told of the gain is true of each but the best of a class; 0.02 dB for the search's own error.
    const auto same = [&](const DesignedStation& s) {
      return s.antenna == heavy.antenna && s.network == heavy.network;
    };
    if (std::any_of(design.stations.begin(), design.stations.end(), same)) continue;
    ++compared;
    CHECK((heavy.held_bands > light.held_bands || heavy.objective_db <= light.objective_db - f.least_gain_db + 0.02));
  }
  CHECK(compared > 0);
  CHECK(f.least_gain_db < 20.0);  // no gain is raised for what it cannot leave out
  CHECK(f.stations[f.by_mass.back()].held_bands == most_held);
}

TEST_CASE("a hand is beside the winner of a brief whose conditions have shares, or its name") {
  const std::string plain = one_antenna_text();
  const Answer without = answered(plain);
  REQUIRE(without.hand);
  CHECK(without.hand_refused.empty());
  const Answer shares = answered(replaced(replaced(plain, "name = \"dry\"", "name = \"dry\"\nshare = 0.7"),
                                          "name = \"lifted\"", "name = \"lifted\"\nshare = 0.1"));
  INFO(shares.hand_refused);
  REQUIRE(shares.hand);
  CHECK(shares.hand_refused.empty());
  CHECK(shares.hand->conditions == without.hand->conditions);
  CHECK(shares.hand->anew.objective_db == within(without.hand->anew.objective_db, 1e-9));
  double hands = 0.0;
  for (const station::Condition& c : shares.hand->anew.station.conditions) {
    if (c.name.find("hand on the set") == 0) hands += c.share.value_or(NAN);
  }
  CHECK(hands == Approx(0.4));  // the mean of the others'
  const Answer taken = answered(replaced(plain, "name = \"lifted\"", "name = \"hand on the set: open\""));
  INFO(taken.hand_refused);
  REQUIRE(taken.hand);
  CHECK(taken.hand->conditions.find("hand on the set 2: ") == 0);
  CHECK(taken.hand->anew.objective_db == within(without.hand->anew.objective_db, 1e-9));
}

TEST_CASE(
    "a hand is beside the winner where conditions stand in one line, and is refused in words where no arm reaches") {
  const std::string plain = one_antenna_text();
  const std::size_t first = plain.find("[[condition]]"), after = plain.find("[network]");
  const Answer inline_table = answered("condition = [ { name = \"dry\", ground = \"medium dry\" } ]\n" +
                                       plain.substr(0, first) + plain.substr(after));
  REQUIRE(inline_table.hand);
  CHECK(inline_table.hand->anew.objective_db > 0.0);
  // A set that hangs above every arm is told in the words of who refuses it.
  const Answer refused = answered(replaced(plain, "base_height = \"1.3 m\"", "base_height = \"3.5 m\""));
  CHECK_FALSE(refused.hand);
  CHECK(refused.hand_refused.find("the hand cannot reach the set: it is ") ==
        0);  // no place in a text that nobody wrote
}
