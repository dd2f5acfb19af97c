// What may be chosen of an antenna beside its lengths: hat, coil on the whip, layout of wires.

#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include <stile/design/answer.hpp>
#include <stile/design/design.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/solve_loads.hpp>

#include "design/briefs.hpp"

using namespace stile;
using namespace stile::design;
using test::brief_text;
using test::BriefParts;
using test::within;

namespace {

const char* const extras = R"([[hat]]
name = "four spokes"
spokes = 4
length = "0.25 m"
radius = "1 mm"
metal = "aluminium"
[[loading_coil]]
name = "on the whip"
place = [0.35, 0.6]
inductance = "12 uH"
q = 300
)";

/// Mean over the bands of what a plan of the written station says; infinite: it cannot be.
double planned_db(const station::Brief& brief, const station::AntennaChoice& antenna, std::size_t network) {
  const station::StationChoice choice{"one", antenna, {{network, {}}}};
  const station::Station read = station::read_station(station::station_text(brief, choice, ""), "s.toml", ".");
  const plan::Plan plan = plan::plan_as_stated(station::solve_loads(read), {}, 0);
  double sum = 0.0;
  for (const plan::BandResult& band : plan.bands) sum += band.arrangements.front().counted_db;
  return sum / static_cast<double>(plan.bands.size());
}

bool told(const Design& d, const std::string& what) {
  return std::any_of(d.notes.begin(), d.notes.end(),
                     [&](const std::string& n) { return n.find(what) != std::string::npos; });
}

}  // namespace

TEST_CASE("hat, coil on the whip and layout: by stated steps the best of all of them, as plans of each say") {
  BriefParts parts;
  parts.whip = R"({ length = 2.2, radius = "1.5 mm", metal = "stainless steel" })";
  parts.counterpoise =
      R"({ wires = [1, 2], length = [3, 5], step = 2, radius = "0.5 mm", metal = "copper", layout = ["bundle", "spread"] })";
  parts.kinds = R"(["transformer"])";
  parts.more = extras;
  const station::Brief brief = station::read_brief(brief_text(parts), "test");
  SearchOptions options;
  options.objective = Objective::mean;
  options.look_around = false;
  const Design found = find_stations(brief, options);
  REQUIRE(found.status == Status::found);
  CHECK(found.searched.exhaustive);
  constexpr std::size_t rows = 2 + 2 * 3, kinds = 2 * 3;  // one wire, two of two layouts; hats times coils
  CHECK(found.searched.antennas == rows * kinds);
  CHECK(found.searched.how.find("2 layouts, 2 of a hat, 3 of a coil on the whip, 2 matches") != std::string::npos);
  CHECK(told(found, "Not varied: a choke."));
  CHECK(told(found, "Q assumed: a coil on the whip"));
  double best_db = HUGE_VAL;
  for (std::size_t hat = 0; hat < 2; ++hat) {
    for (std::size_t loading = 0; loading < 3; ++loading) {
      for (const std::vector<double>& wires : {std::vector{3.0}, {5.0}, {3.0, 3.0}, {5.0, 3.0}, {5.0, 5.0}}) {
        for (std::size_t layout = 0; layout < wires.size(); ++layout) {
          for (const std::size_t network : {0U, 1U})
            best_db = std::min(best_db, planned_db(brief, {2.2, wires, 0, hat, loading, layout}, network));
        }
      }
    }
  }
  const DesignedStation& first = found.stations.front();
  CHECK(first.objective_db == within(best_db, 1e-6));
  CHECK_FALSE(first.hat.empty());  // a whip of 2.2 m is short for 40 m: both help
  CHECK_FALSE(first.loading.empty());
  CHECK(first.layout.empty() == (first.antenna.wires_m.size() == 1));
  CHECK(first.wires_text.find("hat 4") != std::string::npos);
  CHECK(first.wires_text.find("[[coil]]") != std::string::npos);
  // What each is for: without the coil the same antenna is the one that was scored without it.
  const Answer answers = answer(brief, found, {});
  const auto use = std::find_if(answers.wires.begin(), answers.wires.end(),
                                [](const WireUse& w) { return w.wire.find("the coil on the whip") == 0; });
  REQUIRE(use != answers.wires.end());
  station::AntennaChoice without = first.antenna;
  without.loading = 0;
  CHECK(use->lost_db == within(planned_db(brief, without, first.network) - first.objective_db, 0.02));
}

TEST_CASE(
    "hat and coil with any length: never worse by 0.02 dB than a plain grid of 0.5 m of any of their combinations") {
  BriefParts parts;
  parts.kinds = R"(["base coil"])";
  parts.more = extras;
  parts.bands = "[[band]]\nname = \"40 m\"\nlow = \"7.0 MHz\"\nhigh = \"7.2 MHz\"\nuse = [\"7.1 MHz\", \"7.1 MHz\"]\n";
  SearchOptions options;
  options.objective = Objective::mean;
  options.look_around = false;
  const auto found = [&](const std::string& step) {
    parts.whip = "{ length = [2, 4], " + step + "radius = \"1.5 mm\", metal = \"stainless steel\" }";
    parts.counterpoise = "{ wires = 1, length = [2, 7], " + step + "radius = \"0.5 mm\", metal = \"copper\" }";
    return find_stations(station::read_brief(brief_text(parts), "test"), options);
  };
  const Design free = found(""), plain = found("step = 0.5, ");
  CHECK_FALSE(free.searched.exhaustive);
  REQUIRE(plain.searched.exhaustive);
  CHECK(plain.searched.antennas == 5 * 11 * 6);
  // Any length may be had, yet not at the price of a finer grid: no more than this coarse one, and a hundred to close
  // in on the best of the combinations (computed here: 222 against 330).
  CHECK(free.searched.antennas < plain.searched.antennas + 100);
  REQUIRE(free.stations.size() == plain.stations.size());
  for (const DesignedStation& s : plain.stations) {
    const auto same = std::find_if(free.stations.begin(), free.stations.end(),
                                   [&](const DesignedStation& f) { return f.touch == s.touch; });
    REQUIRE(same != free.stations.end());
    CHECK(same->objective_db <= s.objective_db + 0.02);
  }
}
