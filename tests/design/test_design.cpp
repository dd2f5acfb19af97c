// The joint search: against exhaustive search, plain grids, wider limits, stile-plan's own figures.

#include <cmath>
#include <filesystem>
#include <fstream>
#include <random>

#include <catch2/catch.hpp>

#include <unistd.h>

#include <stile/design/design.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/solve_loads.hpp>

#include "design/briefs.hpp"

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

}  // namespace

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
  std::string name = (std::filesystem::temp_directory_path() / "stile design-XXXXXX").string();
  REQUIRE(::mkdtemp(name.data()) != nullptr);
  const std::filesystem::path folder = name;
  for (const DesignedStation& s : design.stations) {
    CAPTURE(s.network_name);
    std::ofstream(folder / s.station_file) << s.station_text;
    std::ofstream(folder / s.wires_file) << s.wires_text;
    const station::Station station = station::solve_loads(station::load_station((folder / s.station_file).string()));
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
    }
    CHECK(s.mass_kg > 0.0);
  }
  std::filesystem::remove_all(folder);
}

TEST_CASE("the result has the same bytes for any number of threads") {
  BriefParts parts;
  parts.whip = whip_of(2.0, 3.0);
  parts.counterpoise = wire_of("[1, 2]", 2.0, 4.0);
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
  const Design design = find_stations(brief_of(brief_text(parts)), options);
  CHECK(design.status == Status::unfinished);
  CHECK_FALSE(design.searched.exhaustive);
  CHECK(design.stations.size() == 3);  // one a class
  CHECK(design.searched.antennas == 16);
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
  parts.more = "[limits]\nmass = \"0.4 kg\"\n[mass]\n\"base coil\" = \"250 g\"\n";
  const Design light = find_stations(brief_of(brief_text(parts)), quick(Objective::mean));
  REQUIRE(light.status == Status::found);
  CHECK(light.stations.front().mass_kg <= 0.4);
  CHECK(light.stations.front().mass_known);
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
  for (const CutTolerance& cut : design.cuts) {
    CHECK(cut.shorter_m > 0.0);
    CHECK(cut.shorter_m <= 0.4);
    CHECK(cut.longer_m <= 0.4);
  }
}
