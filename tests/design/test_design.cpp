// The joint search: against exhaustive search, plain grids, wider limits, stile-plan's own figures.

#include <algorithm>
#include <atomic>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <random>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/design/compare.hpp>
#include <stile/design/design.hpp>
#include <stile/design/walks.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/solve_loads.hpp>

#include "design/briefs.hpp"
#include "temporary_folder.hpp"

using namespace stile;
using namespace stile::design;
using test::brief_text;
using test::BriefParts;

namespace {

station::Brief brief_of(const std::string& text) { return station::read_brief(text, "test"); }

SearchOptions quick(Objective objective = Objective::held) {
  SearchOptions options;
  options.objective = objective;
  options.look_around = false;
  return options;
}

/// Held bands of the first station count first, then its loss.
bool not_worse(Objective objective, const DesignedStation& a, const DesignedStation& b, double by_db) {
  if (objective == Objective::held && a.held_bands != b.held_bands) return a.held_bands > b.held_bands;
  return a.objective_db <= b.objective_db + by_db;
}

std::string whip_of(double low_m, double high_m, const std::string& step = "") {
  return fmt::format("{{ length = [{}, {}], {}radius = \"1.5 mm\", metal = \"stainless steel\" }}", low_m, high_m,
                     step);
}

std::string wire_of(const std::string& wires, double low_m, double high_m, const std::string& step = "") {
  return fmt::format("{{ wires = {}, length = [{}, {}], {}radius = \"0.5 mm\", metal = \"copper\" }}", wires, low_m,
                     high_m, step);
}

/// One band in use from low to high, a match and a limit: where it holds is a small part of what may be chosen.
std::string narrow_text(const std::string& whip, const std::string& wire, const std::string& kinds, double use_low_hz,
                        double use_high_hz, double swr_limit) {
  BriefParts parts;
  parts.whip = whip;
  parts.counterpoise = wire;
  parts.kinds = kinds;
  parts.bands =
      fmt::format("[[band]]\nname = \"it\"\nlow = {0}\nhigh = {1}\nuse = [{0}, {1}]\n", use_low_hz, use_high_hz);
  std::string text = brief_text(parts);
  const std::string stated = "swr_limit = 3.0";
  text.replace(text.find(stated), stated.size(), fmt::format("swr_limit = {:.6f}", swr_limit));
  return text;
}

}  // namespace

TEST_CASE("a band that holds within narrow limits holds within wider ones, however small the place where it does") {
  struct Pair {
    Range whip_m, wire_m, wider_whip_m, wider_wire_m;
    double low_hz, high_hz;
  };
  for (const Pair& p : {Pair{{2.6, 2.6}, {2.12, 2.28}, {2.6, 2.6}, {1.0, 8.0}, 28.2e6, 28.4e6},
                        Pair{{2.62, 2.7}, {2.1, 2.3}, {1.0, 6.0}, {1.0, 12.0}, 28.2e6, 28.4e6},
                        Pair{{4.9, 4.9}, {4.2, 4.3}, {4.9, 4.9}, {1.0, 8.0}, 14.1e6, 14.2e6},
                        Pair{{4.85, 4.95}, {4.2, 4.3}, {3.0, 6.0}, {2.0, 8.0}, 14.1e6, 14.2e6}}) {
    CAPTURE(p.wider_whip_m.low, p.wider_wire_m.low, p.low_hz);
    const std::string kinds = R"(["straight"])";
    const auto found = [&](const Range& whip_m, const Range& wire_m, double limit, Objective objective) {
      return find_stations(brief_of(narrow_text(whip_of(whip_m.low, whip_m.high), wire_of("1", wire_m.low, wire_m.high),
                                                kinds, p.low_hz, p.high_hz, limit)),
                           quick(objective));
    };
    // The limit is put just above the least SWR that a fine grid within the narrow limits has.
    double least = HUGE_VAL;
    std::string steps = "step = 0.02, ";
    const Design fine = find_stations(
        brief_of(narrow_text(whip_of(p.whip_m.low, p.whip_m.high, steps),
                             wire_of("1", p.wire_m.low, p.wire_m.high, steps), kinds, p.low_hz, p.high_hz, 1.0001)),
        quick());
    REQUIRE(fine.searched.exhaustive);
    for (const DesignedStation& s : fine.stations) least = std::min(least, s.bands.front().worst_swr);
    const double limit = 1.03 * least;
    const Design narrow = found(p.whip_m, p.wire_m, limit, Objective::held);
    CHECK(narrow.stations.front().held_bands == 1);
    const Design wide = found(p.wider_whip_m, p.wider_wire_m, limit, Objective::held);
    CHECK(not_worse(Objective::held, wide.stations.front(), narrow.stations.front(), 0.02));
    CHECK(not_worse(Objective::mean, found(p.wider_whip_m, p.wider_wire_m, limit, Objective::mean).stations.front(),
                    found(p.whip_m, p.wire_m, limit, Objective::mean).stations.front(), 0.02));
  }
}

TEST_CASE("random limits, each pair nested: the wider is never worse by 0.02 dB, nor than a plain grid of 0.5 m") {
  std::mt19937 random(29);
  const auto between = [&](double low, double high) {
    return std::round(100.0 * std::uniform_real_distribution<>(low, high)(random)) / 100.0;
  };
  const std::vector<std::string> kinds{R"(["base coil", "transformer"])", R"(["straight", "transformer"])",
                                       R"(["tuner"])", R"(["base coil", "tuner", "straight"])"};
  for (int trial = 0; trial < 8; ++trial) {
    const Objective objective = trial % 2 == 0 ? Objective::held : Objective::mean;
    const Range whip{between(1.2, 2.6), between(2.7, 3.4)}, wire{between(1.9, 3.8), between(4.0, 6.0)};
    const Range wider_whip{between(1.0, whip.low), between(whip.high, 4.5)},
        wider_wire{between(1.8, wire.low), between(wire.high, 9.0)};
    BriefParts parts;
    parts.kinds = kinds[static_cast<std::size_t>(trial) % kinds.size()];
    const auto found = [&](const Range& whip_m, const Range& wire_m, const std::string& step) {
      parts.whip = whip_of(whip_m.low, whip_m.high, step);
      parts.counterpoise = wire_of("1", wire_m.low, wire_m.high, step);
      return find_stations(brief_of(brief_text(parts)), quick(objective));
    };
    CAPTURE(trial, whip.low, whip.high, wire.low, wire.high, wider_whip.low, wider_whip.high, wider_wire.low,
            wider_wire.high);
    const Design narrow = found(whip, wire, ""), wide = found(wider_whip, wider_wire, ""),
                 plain = found(wider_whip, wider_wire, "step = 0.5, ");
    // Class by class, not the first alone.
    for (const Design* other : {&narrow, &plain}) {
      for (const DesignedStation& s : other->stations) {
        const auto same = std::find_if(wide.stations.begin(), wide.stations.end(),
                                       [&](const DesignedStation& w) { return w.touch == s.touch; });
        REQUIRE(same != wide.stations.end());
        CAPTURE(other == &plain, s.network_name, s.held_bands, s.objective_db, s.antenna.whip_m,
                s.antenna.wires_m.front());
        CAPTURE(same->network_name, same->held_bands, same->objective_db, same->antenna.whip_m,
                same->antenna.wires_m.front());
        CHECK(not_worse(objective, *same, s, 0.02));
      }
    }
  }
}

TEST_CASE("several wires of any length: the winner is refined, within the limits, and not worse than all of a grid") {
  BriefParts parts;
  parts.kinds = R"(["straight"])";
  parts.whip = whip_of(2.6, 2.6);
  parts.bands = "[[band]]\nname = \"10 m\"\nlow = \"28 MHz\"\nhigh = \"29 MHz\"\nuse = [\"28.4 MHz\", \"28.4 MHz\"]\n";
  const auto found = [&](const std::string& step) {
    parts.counterpoise = wire_of("2", 1.9, 2.9, step);
    return find_stations(brief_of(brief_text(parts)), quick(Objective::mean));
  };
  const Design free = found(""), grid = found("step = 0.5, ");
  CHECK(grid.searched.exhaustive);
  CHECK_FALSE(free.searched.exhaustive);
  const DesignedStation& best = free.stations.front();
  REQUIRE(best.antenna.wires_m.size() == 2);
  CHECK(best.antenna.wires_m.front() >= best.antenna.wires_m.back());
  CHECK(best.antenna.wires_m.back() >= 1.9);
  CHECK(best.antenna.wires_m.front() <= 2.9);
  CHECK(best.objective_db < grid.stations.front().objective_db);
  CHECK(free.searched.worst_error_db <= 0.05);
}

TEST_CASE("twenty random briefs: the result is that of exhaustive search over the stated steps") {
  std::mt19937 random(11);
  const auto pick = [&](int least, int most) { return std::uniform_int_distribution<int>(least, most)(random); };
  const std::vector<std::string> kinds{R"(["base coil"])", R"(["transformer", "straight"])",
                                       R"(["tuner", "base coil"])", R"(["base coil", "transformer"])"};
  for (int trial = 0; trial < 20; ++trial) {
    const double whip_m = 0.25 * pick(6, 14), wire_m = 0.25 * pick(6, 20), whip_step_m = 0.25 * pick(1, 3),
                 wire_step_m = 0.25 * pick(1, 6);
    const int whips = pick(1, 2), lengths = pick(1, 3), most_wires = lengths < 3 ? pick(1, 2) : 1;
    const Objective objective = pick(0, 1) == 0 ? Objective::mean : Objective::held;
    BriefParts parts;
    parts.kinds = kinds[static_cast<std::size_t>(pick(0, 3))];
    parts.whip = whip_of(whip_m, whip_m + (whips - 1) * whip_step_m, fmt::format("step = {}, ", whip_step_m));
    parts.counterpoise = wire_of(fmt::format("[1, {}]", most_wires), wire_m, wire_m + (lengths - 1) * wire_step_m,
                                 fmt::format("step = {}, ", wire_step_m));
    CAPTURE(trial, parts.kinds, parts.whip, parts.counterpoise);
    const Design found = find_stations(brief_of(brief_text(parts)), quick(objective));
    REQUIRE(found.status == Status::found);
    CHECK(found.searched.exhaustive);
    // One antenna at a time, solved as it stands: no search.
    std::optional<DesignedStation> best;
    std::size_t antennas = 0;
    for (int w = 0; w < whips; ++w) {
      for (int a = 0; a < lengths; ++a) {
        for (int b = -1; b <= (most_wires == 2 ? a : -1); ++b) {
          BriefParts one = parts;
          one.whip = whip_of(whip_m + w * whip_step_m, whip_m + w * whip_step_m);
          const double first_m = wire_m + a * wire_step_m;
          // Two wires of one brief have a range in common: the one antenna is picked out of it.
          one.counterpoise = wire_of(b < 0 ? "1" : "2", b < 0 ? first_m : wire_m + b * wire_step_m, first_m,
                                     b < 0 || a == b ? "" : fmt::format("step = {}, ", (a - b) * wire_step_m));
          const Design single = find_stations(brief_of(brief_text(one)), quick(objective));
          ++antennas;
          for (const DesignedStation& s : single.stations) {
            if (!best || !not_worse(objective, *best, s, 0.0)) best = s;
          }
        }
      }
    }
    REQUIRE(best);
    CHECK(found.searched.antennas <= antennas + 1);
    CHECK(found.stations.front().held_bands == best->held_bands);
    CHECK(found.stations.front().objective_db == Approx(best->objective_db).margin(1e-9));
  }
}

TEST_CASE("radiated_db and path_db are those that stile-plan gives for the files written, within 1e-6 dB") {
  BriefParts parts;
  parts.kinds = R"(["base coil", "L network", "transformer", "tuner", "straight"])";
  parts.whip = whip_of(2.5, 2.5);
  parts.counterpoise = wire_of("1", 4.0, 4.0);
  parts.more = "[path]\nelevation = [\"60 deg\", \"80 deg\"]\n";
  const Design design = find_stations(brief_of(brief_text(parts)), quick());
  REQUIRE(design.stations.size() == 4);
  CHECK(design.towards_path);
  const stile::temporary::Folder folder;
  for (const DesignedStation& s : design.stations) {
    CAPTURE(s.network_name);
    std::ofstream(folder / s.station_file) << s.station_text;
    std::ofstream(folder / s.wires_file) << s.wires_text;
    const station::Station station = station::solve_loads(station::load_station(folder / s.station_file));
    const plan::Plan plan = plan::make_plan(station);
    REQUIRE(plan.bands.size() == s.bands.size());
    for (std::size_t b = 0; b < s.bands.size(); ++b) {
      const plan::ArrangementResult& a = plan.bands[b].arrangements.front();
      CHECK(s.bands[b].radiated_db.value() == Approx(a.radiated_db.value()).margin(1e-6).epsilon(0.0));
      CHECK(s.bands[b].path_db.value() == Approx(a.path_db.value()).margin(1e-6).epsilon(0.0));
      CHECK(s.bands[b].counted_db == Approx(*a.path_db).margin(1e-6).epsilon(0.0));
      CHECK(s.bands[b].worst_swr == Approx(a.worst_swr).epsilon(1e-9));
      CHECK(s.bands[b].holds == (a.worst_swr <= 3.0));
      CHECK(s.bands[b].bound_db <= s.bands[b].counted_db + 1e-9);
      if (s.bands[b].proof) CHECK(s.bands[b].proof->bound_db <= s.bands[b].counted_db + 1e-9);
    }
    CHECK(s.mass_kg > 0.0);
  }
}

TEST_CASE("a wound coil is searched, with turns and taps stated in what is written, within 1e-6 dB of stile-plan") {
  BriefParts parts;
  parts.kinds = R"(["switched coil", "straight"])";
  parts.whip = whip_of(2.0, 2.5, "step = 0.5, ");
  parts.counterpoise = wire_of("1", 3.0, 4.5, "step = 1.5, ");
  parts.more = "[coil]\nformer = \"60 mm\"\nwire = \"1.5 mm\"\npitch = [\"3 mm\", \"4 mm\"]\nunused = \"shorted\"\n"
               "step = \"shunt capacitor\"\n";
  const station::Brief brief = brief_of(brief_text(parts));
  const Design design = find_stations(brief, quick());
  REQUIRE(design.stations.size() == 3);  // once a band, trimmed, nothing
  CHECK(design.searched.exhaustive);
  const stile::temporary::Folder folder;
  std::size_t wound = 0;
  for (const DesignedStation& s : design.stations) {
    if (s.touch == Touch::nothing) {
      CHECK(s.coil.empty());
      continue;
    }
    ++wound;
    CAPTURE(s.station_text);
    CHECK(s.coil.find("former 60 mm, wire 1.5 mm, pitch ") == 0);
    CHECK(s.coil_turns > 5.0);
    std::ofstream(folder / s.station_file) << s.station_text;
    std::ofstream(folder / s.wires_file) << s.wires_text;
    const station::Station read = station::load_station(folder / s.station_file);
    CHECK(read.arrangements.front().coil.turns == s.coil_turns);
    CHECK(read.arrangements.front().coil.taps.size() == (s.touch == Touch::band ? 2U : 0U));
    const plan::Plan plan = plan::make_plan(station::solve_loads(read));
    for (std::size_t b = 0; b < s.bands.size(); ++b) {
      CHECK(s.bands[b].radiated_db.value() ==
            Approx(plan.bands[b].arrangements.front().radiated_db.value()).margin(1e-6).epsilon(0.0));
      REQUIRE_FALSE(s.bands[b].settings.empty());
      CHECK(s.bands[b].settings.front().tap_turns.value() <= s.coil_turns);
      if (s.touch == Touch::band)
        CHECK(read.arrangements.front().coil.taps[b].turns == s.bands[b].settings.front().tap_turns.value());
    }
  }
  CHECK(wound == 2);
  CHECK(std::none_of(design.notes.begin(), design.notes.end(),
                     [](const std::string& n) { return n.find("Q assumed") == 0; }));
}

TEST_CASE("three lengths that may be any: a plain grid of 0.5 m is not better by more than 0.02 dB") {
  BriefParts parts;
  parts.kinds = R"(["base coil", "transformer"])";
  parts.whip = whip_of(2.0, 2.5);
  parts.counterpoise = wire_of("2", 3.0, 5.0);
  const Design found = find_stations(brief_of(brief_text(parts)), quick());
  parts.whip = whip_of(2.0, 2.5, "step = 0.5, ");
  parts.counterpoise = wire_of("2", 3.0, 5.0, "step = 0.5, ");
  const Design grid = find_stations(brief_of(brief_text(parts)), quick());
  CHECK(grid.searched.exhaustive);
  REQUIRE(found.stations.size() == grid.stations.size());
  for (const DesignedStation& s : found.stations) {
    const auto same = std::find_if(grid.stations.begin(), grid.stations.end(),
                                   [&](const DesignedStation& g) { return g.touch == s.touch; });
    REQUIRE(same != grid.stations.end());
    CHECK(not_worse(Objective::held, s, *same, 0.02));
  }
  CHECK(found.searched.antennas > grid.searched.antennas);  // lengths between those of the grid were tried
}

TEST_CASE("a search that is stopped while lengths are refined has the best so far, told by one call at a time") {
  BriefParts parts;
  parts.kinds = R"(["base coil", "transformer"])";
  for (const char* wires : {"1", "2"}) {
    parts.whip = whip_of(2.0, 2.5);
    parts.counterpoise = wire_of(wires, 3.0, 4.0);
    SearchOptions options;
    options.threads = 2;
    std::atomic<bool> refining = false, inside = false, twice = false;
    options.progress = [&](const Progress& p) {
      if (inside.exchange(true)) twice = true;
      if (p.text == "refining lengths") refining = true;
      inside = false;
    };
    options.stop = [&] { return refining.load(); };
    const Design design = find_stations(brief_of(brief_text(parts)), options);
    CHECK(refining);
    CHECK_FALSE(twice);
    CHECK(design.status == Status::unfinished);
    CHECK_FALSE(design.stations.empty());
    options.stop = {};
    options.progress = [](const Progress& p) {
      if (p.text == "refining lengths" && p.done > 3) throw Error("enough");
    };
    CHECK_THROWS_AS(find_stations(brief_of(brief_text(parts)), options), Error);
  }
}

TEST_CASE("wider limits of three lengths are not worse by more than 0.02 dB") {
  BriefParts parts;
  parts.kinds = R"(["base coil", "transformer"])";
  std::optional<DesignedStation> before;
  for (const auto& [low_m, high_m] : {std::pair{3.0, 4.0}, std::pair{2.5, 5.0}, std::pair{2.0, 6.0}}) {
    parts.whip = whip_of(2.0, 2.5);
    parts.counterpoise = wire_of("2", low_m, high_m);
    const Design found = find_stations(brief_of(brief_text(parts)), quick());
    CAPTURE(low_m, high_m);
    if (before) CHECK(not_worse(Objective::held, found.stations.front(), *before, 0.02));
    before = found.stations.front();
  }
}

TEST_CASE("the result has the same bytes for any number of threads") {
  BriefParts parts;
  // Three whole searches, hence narrow limits. Free lengths of one and two wires, with what a hand moves and what it
  // does not, look around and sensitivity have all kinds of work that is shared among threads; wider limits have more
  // of the same.
  parts.kinds = R"(["base coil", "transformer"])";
  parts.whip = whip_of(2.0, 2.5);
  parts.counterpoise = wire_of("[1, 2]", 2.0, 3.0);
  std::vector<Design> designs;
  for (const unsigned threads : {1U, 2U, 5U}) {
    SearchOptions options;
    options.threads = threads;
    designs.push_back(find_stations(brief_of(brief_text(parts)), options));
  }
  for (const Design& d : designs) {
    REQUIRE(d.stations.size() == designs.front().stations.size());
    CHECK(d.searched.antennas == designs.front().searched.antennas);
    CHECK(d.searched.settings == designs.front().searched.settings);
    for (std::size_t n = 0; n < d.stations.size(); ++n) {
      CHECK(d.stations[n].station_text == designs.front().stations[n].station_text);
      CHECK(d.stations[n].wires_text == designs.front().stations[n].wires_text);
      CHECK(d.stations[n].objective_db == designs.front().stations[n].objective_db);
    }
    REQUIRE(d.sensitivity.size() == designs.front().sensitivity.size());
    for (std::size_t n = 0; n < d.sensitivity.size(); ++n)
      CHECK(d.sensitivity[n].db_per_unit == designs.front().sensitivity[n].db_per_unit);
  }
}

TEST_CASE(
    "wider limits never worsen the objective by more than 0.02 dB, and a plain grid of 0.5 m is not better by more") {
  const Objective objective = GENERATE(Objective::mean, Objective::held);
  BriefParts parts;
  parts.kinds = R"(["base coil", "transformer"])";
  std::optional<DesignedStation> before;
  for (const auto& [whip, wire] : std::vector<std::pair<Range, Range>>{
           {{2.2, 2.7}, {3.1, 4.4}}, {{2.2, 3.0}, {2.9, 4.4}}, {{1.8, 3.2}, {2.3, 5.1}}}) {
    CAPTURE(whip.high, wire.high);
    parts.whip = whip_of(whip.low, whip.high);
    parts.counterpoise = wire_of("1", wire.low, wire.high);
    const Design found = find_stations(brief_of(brief_text(parts)), quick(objective));
    if (before) CHECK(not_worse(objective, found.stations.front(), *before, 0.02));
    before = found.stations.front();
    parts.whip = whip_of(whip.low, whip.high, "step = 0.5, ");
    parts.counterpoise = wire_of("1", wire.low, wire.high, "step = 0.5, ");
    const Design grid = find_stations(brief_of(brief_text(parts)), quick(objective));
    CHECK(grid.searched.exhaustive);
    CHECK_FALSE(found.searched.exhaustive);
    CHECK(not_worse(objective, found.stations.front(), grid.stations.front(), 0.02));
  }
}

TEST_CASE("a stopped search gives the best so far and says so") {
  SearchOptions options = quick();
  int asked = 0;
  options.stop = [&] { return ++asked > 1; };
  BriefParts parts;
  parts.whip = whip_of(1.0, 5.0, "step = 0.25, ");
  const station::Brief brief = brief_of(brief_text(parts));
  const Design design = find_stations(brief, options);
  CHECK(design.status == Status::unfinished);
  CHECK_FALSE(design.searched.exhaustive);
  CHECK(design.stations.size() == 3);  // one a class
  CHECK(design.searched.antennas == 16);
  std::size_t compared = 0;
  for (const DesignedStation& s : design.stations) {
    for (const TriedStation& t : design.tried) {
      if (brief.networks[t.network].touch != s.touch || t.held_bands < s.held_bands) continue;
      ++compared;
      CHECK(s.objective_db <= t.objective_db + 0.05);  // the search's own error
      CHECK(s.held_bands >= t.held_bands);
    }
  }
  CHECK(compared >= 1);
}

TEST_CASE("where nothing is within the limits the nearest station and what to relax are told") {
  BriefParts parts;
  parts.kinds = R"(["base coil", "straight"])";
  parts.more = "[limits]\nmass = \"100 g\"\n[mass]\n\"base coil\" = \"250 g\"\n";
  const Design design = find_stations(brief_of(brief_text(parts)), quick());
  CHECK(design.status == Status::none);
  CHECK(design.relax.find("mass") != std::string::npos);
  CHECK(design.relax.find("100 g") != std::string::npos);
  REQUIRE(design.stations.size() == 1);
  CHECK(design.stations.front().antenna.whip_m == 2.0);
  CHECK(design.stations.front().mass_kg > 0.1);
}

TEST_CASE("limits of mass and height bind, and are named") {
  BriefParts parts;
  parts.kinds = R"(["base coil"])";
  parts.whip = whip_of(2.0, 3.0, "step = 0.5, ");
  parts.more = "[limits]\ntop_height = \"4 m\"\n";
  const Design design = find_stations(brief_of(brief_text(parts)), quick(Objective::mean));
  REQUIRE(design.status == Status::found);
  CHECK(1.3 + design.stations.front().antenna.whip_m <= 4.0);
  const auto names = [](const Design& d, const std::string& what) {
    const std::vector<std::string>& limits = d.stations.front().at_limit;
    return std::find(limits.begin(), limits.end(), what) != limits.end();
  };
  CHECK(names(design, "top at its limit 4 m"));
  parts.more = "[limits]\nmass = \"0.4 kg\"\n[mass]\n\"base coil\" = \"250 g\"\n";
  const Design light = find_stations(brief_of(brief_text(parts)), quick(Objective::mean));
  REQUIRE(light.status == Status::found);
  CHECK(light.stations.front().mass_kg <= 0.4);
  CHECK(light.stations.front().mass_known);
  parts.more =
      fmt::format("[limits]\nmass = {:.17g}\n[mass]\n\"base coil\" = \"250 g\"\n", light.stations.front().mass_kg);
  const Design just = find_stations(brief_of(brief_text(parts)), quick(Objective::mean));
  CHECK(just.stations.front().antenna == light.stations.front().antenna);
  CHECK(names(just, "mass at its limit " + print_quantity(light.stations.front().mass_kg, Unit::kilogram)));
}

TEST_CASE("the mean has no SWR limit, held puts the bands that hold first") {
  BriefParts parts;
  parts.kinds = R"(["base coil"])";
  const station::Brief brief = brief_of(brief_text(parts));
  const Design mean = find_stations(brief, quick(Objective::mean)), held = find_stations(brief, quick(Objective::held));
  CHECK(mean.stations.front().objective_db <= held.stations.front().objective_db + 1e-9);
  CHECK(held.stations.front().held_bands >= mean.stations.front().held_bands);
  double sum = 0.0;
  for (const BandFigures& b : mean.stations.front().bands) sum += b.counted_db;
  CHECK(mean.stations.front().objective_db == Approx(sum / 2.0).epsilon(1e-12));
}

TEST_CASE("a class without a match is refused") {
  SearchOptions options = quick();
  options.touch = Touch::automatic;
  CHECK_THROWS_AS(find_stations(brief_of(brief_text()), options), DomainError);
}

TEST_CASE("sensitivity and cuts are those of antennas that much longer") {
  BriefParts parts;
  parts.kinds = R"(["transformer"])";
  parts.whip = whip_of(2.5, 2.5);
  parts.counterpoise = wire_of("1", 4.0, 4.0);
  SearchOptions options;
  options.objective = Objective::mean;
  const Design design = find_stations(brief_of(brief_text(parts)), options);
  REQUIRE(design.sensitivity.size() >= 2);
  CHECK(design.sensitivity.front().what == "whip length");
  CHECK(design.sensitivity.front().unit == "10 cm");
  parts.whip = whip_of(2.6, 2.6);
  parts.kinds = fmt::format("[\"transformer\"]");
  const Design longer = find_stations(brief_of(brief_text(parts)), quick(Objective::mean));
  REQUIRE(longer.stations.front().network == design.stations.front().network);
  CHECK(design.sensitivity.front().db_per_unit ==
        Approx(design.stations.front().objective_db - longer.stations.front().objective_db).margin(0.01));
  REQUIRE(design.cuts.size() == 2);
  std::size_t reached = 0;
  for (const CutTolerance& cut : design.cuts) {
    CHECK(cut.shorter_m > 0.0);
    CHECK(cut.shorter_m <= 0.4);
    CHECK(cut.longer_m <= 0.4);
    for (const bool more : {false, true}) {  // so much off costs 0.5 dB; where that is not reached, less
      const double off_m = more ? cut.longer_m : -cut.shorter_m;
      const double whip_m = 2.5 + (cut.what == "whip length" ? off_m : 0.0),
                   wire_m = 4.0 + (cut.what == "whip length" ? 0.0 : off_m);
      parts.whip = whip_of(whip_m, whip_m);
      parts.counterpoise = wire_of("1", wire_m, wire_m);
      const Design off = find_stations(brief_of(brief_text(parts)), quick(Objective::mean));
      const auto same = std::find_if(off.tried.begin(), off.tried.end(), [&](const TriedStation& t) {
        return t.network == design.stations.front().network;
      });
      REQUIRE(same != off.tried.end());
      const double lost_db = same->objective_db - design.stations.front().objective_db;
      CAPTURE(cut.what, more, off_m, lost_db);
      if (more ? cut.longer_reached : cut.shorter_reached) {
        ++reached;
        CHECK(lost_db == Approx(0.5).margin(0.1));  // a straight line between steps
      } else {
        CHECK(lost_db < 0.52);
      }
    }
  }
  CHECK(reached > 0);
}

TEST_CASE("a band with a part over its rating does not hold, whatever its SWR") {
  BriefParts parts;
  parts.kinds = R"(["base coil"])";
  parts.whip = whip_of(2.5, 2.5);
  parts.counterpoise = wire_of("1", 4.0, 4.0);
  const Objective objective = GENERATE(Objective::mean, Objective::held);
  const Design sound = find_stations(brief_of(brief_text(parts)), quick(objective));
  std::string text = brief_text(parts);
  const std::string before = "capacitor_series";
  text.insert(text.find(before), "inductor_rating = { voltage = \"1 V\" }\n");
  const Design broken = find_stations(brief_of(text), quick(objective));
  REQUIRE(sound.stations.size() == 2);  // set once a band, and trimmed in each condition
  REQUIRE(broken.stations.size() == 2);
  CHECK(sound.stations.front().held_bands > 0);
  for (std::size_t n = 0; n < 2; ++n) {
    CHECK(broken.stations[n].held_bands == 0);
    for (const BandFigures& f : broken.stations[n].bands) {
      CHECK_FALSE(f.within_ratings);
      CHECK_FALSE(f.holds);
    }
    if (broken.stations[n].touch != sound.stations[n].touch) continue;  // the order of classes may differ
    for (std::size_t b = 0; b < 2; ++b)
      CHECK(broken.stations[n].bands[b].within_swr == sound.stations[n].bands[b].within_swr);
  }
  for (const TriedStation& t : broken.tried) CHECK(t.held_bands == 0);
}

TEST_CASE("a bound is never above what was found, and proven is not said of what went below it") {
  BriefParts parts;
  parts.kinds = R"(["base coil", "L network"])";
  for (const double whip_m : {2.0, 3.0}) {
    for (const double wire_m : {3.0, 5.0}) {
      parts.whip = whip_of(whip_m, whip_m);
      parts.counterpoise = wire_of("1", wire_m, wire_m);
      CAPTURE(whip_m, wire_m);
      const Design design = find_stations(brief_of(brief_text(parts)), quick());
      REQUIRE(design.stations.size() == 2);  // one setting a band, and trimmed by hand
      for (const DesignedStation& s : design.stations) {
        for (const BandFigures& b : s.bands) {
          REQUIRE(b.proof);
          CHECK(b.proof->bound_db <= b.counted_db + 1e-6);
          CHECK_FALSE((b.proof->proven && b.proof->in_steps));
        }
      }
    }
  }
}

TEST_CASE("what has nothing to set is proven, what sets itself where it holds the SWR limit") {
  BriefParts parts;
  parts.kinds = R"(["transformer", "tuner", "straight"])";
  parts.whip = whip_of(2.5, 2.5);
  parts.counterpoise = wire_of("1", 4.0, 4.0);
  const Design design = find_stations(brief_of(brief_text(parts)), quick());
  REQUIRE(design.stations.size() == 2);  // of the classes "nothing" and "automatic"
  for (const DesignedStation& s : design.stations) {
    for (const BandFigures& b : s.bands) {
      REQUIRE(b.proof);
      CHECK(b.proof->proven == (s.touch != Touch::automatic || b.within_swr));
      CHECK(b.proof->bound_db == (b.proof->proven ? b.counted_db : b.bound_db));
      CHECK(b.proof->tried == (s.touch == Touch::automatic ? 2U * 8192U : 1U));  // 7 coils, 6 capacitors, either side
    }
  }
}

TEST_CASE("a search that is stopped before the first antenna is unfinished, not without a result") {
  SearchOptions options = quick();
  options.stop = [] { return true; };
  const Design design = find_stations(brief_of(brief_text()), options);
  CHECK(design.status == Status::unfinished);
  CHECK(design.stations.empty());
  CHECK(design.relax.empty());
}

TEST_CASE("cuts end where a band stops holding, and name it") {
  BriefParts parts;
  parts.kinds = R"(["straight"])";
  parts.whip = whip_of(2.6, 2.6);
  parts.counterpoise = wire_of("1", 2.2, 2.2);
  parts.bands = "[[band]]\nname = \"10 m\"\nlow = \"28 MHz\"\nhigh = \"29 MHz\"\nuse = [\"28.2 MHz\", \"28.4 MHz\"]\n";
  // Its limit is put just above the SWR that it has.
  SearchOptions options;
  options.objective = Objective::held;
  const auto limited = [&](double limit) {
    std::string text = brief_text(parts);
    const std::string stated = "swr_limit = 3.0";
    text.replace(text.find(stated), stated.size(), fmt::format("swr_limit = {:.4f}", limit));
    return find_stations(brief_of(text), options);
  };
  const Design loose = limited(20.0);
  // What 10 g buy is told even where they stop a band, which is named, or cost.
  const auto of_10_g = [](const Design& d) {
    return std::find_if(d.sensitivity.begin(), d.sensitivity.end(),
                        [](const Sensitivity& s) { return s.unit == "10 g"; });
  };
  REQUIRE(of_10_g(loose) != loose.sensitivity.end());
  CHECK(of_10_g(loose)->stops.empty());
  for (const CutTolerance& cut : loose.cuts) CHECK((cut.shorter_stops.empty() && cut.longer_stops.empty()));
  const Design tight = limited(1.001 * loose.stations.front().bands.front().worst_swr);
  REQUIRE(tight.stations.front().held_bands == 1);
  REQUIRE(of_10_g(tight) != tight.sensitivity.end());
  // It is what the better of the two that weigh 10 g more has, each searched by itself.
  const station::Brief given = brief_of(brief_text(parts));
  double gain_db = -HUGE_VAL;
  bool holds = false;
  options.look_around = false;
  for (const bool whip : {true, false}) {
    const double whip_m = 2.6 + (whip ? 0.01 / given.whip_kg_per_m : 0.0),
                 wire_m = 2.2 + (whip ? 0.0 : 0.01 / given.wire_kg_per_m);
    parts.whip = whip_of(whip_m, whip_m);
    parts.counterpoise = wire_of("1", wire_m, wire_m);
    const DesignedStation heavier = limited(20.0).stations.front();
    gain_db = std::max(gain_db, loose.stations.front().objective_db - heavier.objective_db);
    holds = holds || heavier.bands.front().worst_swr <= 1.001 * loose.stations.front().bands.front().worst_swr;
  }
  CHECK(of_10_g(loose)->db_per_unit == test::within(gain_db, 1e-3));
  CHECK(of_10_g(tight)->stops.empty() == holds);
  std::size_t ends = 0;
  for (const CutTolerance& cut : tight.cuts) {
    for (const bool longer : {false, true}) {
      const std::vector<std::string>& stops = longer ? cut.longer_stops : cut.shorter_stops;
      if (stops.empty()) continue;
      ++ends;
      CHECK(stops == std::vector<std::string>{"10 m"});
      CHECK((longer ? cut.longer_reached : cut.shorter_reached));
      CHECK((longer ? cut.longer_m : cut.shorter_m) < 0.4);
    }
  }
  CHECK(ends > 0);
}

TEST_CASE("what a brief leaves open is told among the notes") {
  BriefParts parts;
  parts.kinds = R"(["transformer"])";
  parts.whip = whip_of(2.5, 2.5);
  parts.counterpoise = R"({ wires = 1, length = 4, radius = "0.5 mm", metal = "copper",
    insulation = { thickness = "0.5 mm", relative_permittivity = 3 } })";
  std::replace(parts.counterpoise.begin(), parts.counterpoise.end(), '\n', ' ');
  std::string text = brief_text(parts);
  const auto told = [](const Design& d, const std::string& what) {
    return std::any_of(d.notes.begin(), d.notes.end(),
                       [&](const std::string& n) { return n.find(what) != std::string::npos; });
  };
  const Design stated = find_stations(brief_of(text), quick());
  CHECK_FALSE(told(stated, "Assumed: transformers have turns ratios"));
  CHECK(told(stated, "Not counted: the mass of the insulation"));
  const std::string ratios = "turns_ratios = [0.333, 0.5]";
  text.erase(text.find(ratios), ratios.size());
  CHECK(told(find_stations(brief_of(text), quick()),
             "Assumed: transformers have turns ratios of 0.25, 0.333, 0.5, 0.667, 1.5, 2, 3, 4"));
}

TEST_CASE("on walks a present station of other bands, paths or conditions has figures but no rank, and why") {
  BriefParts parts;
  parts.kinds = R"(["base coil", "transformer"])";
  parts.whip = whip_of(2.5, 2.5);
  parts.counterpoise = wire_of("1", 4.0, 4.0);
  const std::string heavy = "use = [\"7.09 MHz\", \"7.11 MHz\"]\n";
  parts.bands.insert(parts.bands.find(heavy), "weight = 3\n");
  SearchOptions searched = quick();
  searched.touch = Touch::band;
  const station::Brief brief = brief_of(brief_text(parts));
  const Design design = find_stations(brief, searched);
  REQUIRE(design.stations.size() == 1);
  CompareOptions options;
  options.walks = 3;
  const auto against = [&](const station::Station& present) { return compare(brief, design, present, options); };
  const station::Station same = design.stations.front().station;
  const Comparison ranked = against(same);
  CHECK(ranked.present.front().differs.empty());
  REQUIRE(ranked.verdicts.size() == 1);
  CHECK(ranked.verdicts.front().find("no rank") == std::string::npos);
  // Weights of the brief are in the mean of each walk: a mean of three parts of the first band, one of the second.
  CHECK(ranked.present.front().walks.mean_db == ranked.stations.front().mean_db);
  Walks even = walk(same, {}, 3, 1, 1), weighted = walk(same, {}, 3, 1, 1, {}, {}, {3.0, 1.0});
  CHECK(weighted.arrangements.front().mean_db == ranked.stations.front().mean_db);
  CHECK(even.arrangements.front().mean_db != ranked.stations.front().mean_db);
  CHECK_THROWS_AS(walk(same, {}, 1, 1, 1, {}, {}, {1.0}), DomainError);

  const auto unranked = [&](const station::Station& present, const std::string& why) {
    const Comparison c = against(present);
    REQUIRE(c.verdicts.size() == 1);
    CHECK(c.present.front().differs.find(why) == 0);
    CHECK(c.verdicts.front().find("no rank, " + why) != std::string::npos);
    CHECK(c.present.front().walks.mean_db.size() == 3);
  };
  station::Station fewer = same;
  fewer.bands.pop_back();
  unranked(fewer, "its bands differ: 40 m against 20 m, 40 m");
  station::Station narrow = same;
  narrow.bands.front().use_low_hz = narrow.bands.front().design_hz;
  unranked(narrow, "its bands differ: 40 m is in use from 7.1 MHz");
  station::Station path = same;
  path.bands.back().path = station::Path{{60.0, 80.0}, {}, {}};
  unranked(path, "its paths differ: on 20 m 60 to 80 degrees counts against all that leaves");
  station::Station accident = same;
  accident.conditions.back().role = station::Role::accident;
  unranked(accident, "its conditions differ: dry, lifted (accident) against dry, lifted");
}
