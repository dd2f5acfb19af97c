// Antennas of which nobody knows where their power goes are compared nowhere. Stations are invented.

#include <catch2/catch.hpp>

#include <string>
#include <vector>

#include <plan/stations.hpp>
#include <stile/plan/band_order.hpp>
#include <stile/plan/compared.hpp>
#include <stile/plan/far_end.hpp>
#include <stile/plan/frontier.hpp>
#include <stile/plan/vary.hpp>
#include <stile/station/solve_loads.hpp>

using namespace stile;
using namespace stile::plan;
using namespace stile::plan::test;
using station::ArrangementKind;

namespace {

bool contains(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

/// One antenna of wires and one from a load file, which has no shares; on either a coil that is set once and one by
/// hand.
const station::StationText& wires_and_file() {
  static const station::StationText text{
      R"([station]
name = "wires and file"
[transmitter]
power = "5 W"
swr_limit = 5
[[band]]
name = "40 m"
low = "7.05 MHz"
high = "7.15 MHz"
use = ["7.1 MHz", "7.1 MHz"]
[contacts]
margin = "6 dB"
[parts]
inductor_q = 200
capacitor_q = 1000
[[antenna]]
name = "drawn"
[[antenna.load]]
condition = "dry"
[antenna.load.wires]
)" + whip_and_trail("[1.2, 0, 0.05], [5, 0, 0.05]") +
          R"([[antenna]]
name = "measured"
[[antenna.load]]
condition = "dry"
file = ")" +
          std::string(STILE_TEST_DATA) + R"(/../../examples/loads/whip3m_heather.s1p"
[[arrangement]]
name = "drawn, by hand"
kind = "base coil"
trim = "each condition"
antenna = "drawn"
[[arrangement]]
name = "measured, once"
kind = "base coil"
antenna = "measured"
[[arrangement]]
name = "measured, poor"
kind = "base coil"
antenna = "measured"
parts = { inductor_q = 60 }
)",
      "both.toml", "."};
  return text;
}

const station::Station& solved() {
  static const station::Station s = station::solve_loads(station::read_station(wires_and_file()));
  return s;
}

const Plan& planned() {
  static const Plan plan = make_plan(solved(), {}, 0, false);
  return plan;
}

}  // namespace

TEST_CASE("arrangements are compared with those on the same antenna, and with all where power is known to leave") {
  station::Station s = bare_station(50.0);
  s.antennas.resize(3);
  for (const std::size_t antenna : {2U, 0U, 2U}) {
    s.arrangements.push_back(arrangement("a", ArrangementKind::straight));
    s.arrangements.back().antenna = antenna;
  }
  for (const Counted counted : {Counted::path, Counted::radiated}) {
    CHECK(antennas_comparable(counted));
    const std::vector<Comparable> all = comparable_groups(s, counted);
    REQUIRE(all.size() == 1);
    CHECK_FALSE(all[0].antenna);
    CHECK(all[0].arrangements == std::vector<std::size_t>{0, 1, 2});
  }
  CHECK_FALSE(antennas_comparable(Counted::delivered));
  const std::vector<Comparable> apart = comparable_groups(s, Counted::delivered);
  REQUIRE(apart.size() == 2);  // on the second is nothing
  CHECK(apart[0].antenna == 0U);
  CHECK(apart[0].arrangements == std::vector<std::size_t>{1});
  CHECK(apart[1].antenna == 2U);
  CHECK(apart[1].arrangements == std::vector<std::size_t>{0, 2});
  s.arrangements.erase(s.arrangements.begin() + 1);
  REQUIRE(comparable_groups(s, Counted::delivered).size() == 1);
  CHECK_FALSE(comparable_groups(s, Counted::delivered)[0].antenna);
  s.arrangements.clear();
  CHECK(comparable_groups(s, Counted::delivered).empty());
}

TEST_CASE(
    "with one antenna of wires and one from a load file the verdict calls neither better and names the unknown one") {
  const BandResult& band = planned().bands.front();
  INFO(band.verdict);
  CHECK(band.counted == Counted::delivered);
  CHECK(band.choice == Choice::undecided);
  CHECK(band.apart == std::vector<std::size_t>{0, 1});
  CHECK(band.taken == 0U);  // the first of the file, though less power goes into it
  CHECK(band.arrangements[0].radiated_db);
  CHECK_FALSE(band.arrangements[1].radiated_db);
  CHECK(contains(band.verdict, "where the power of \"measured\" goes is not known"));
  CHECK_FALSE(contains(band.verdict, "the far field"));
  CHECK(contains(band.verdict, "Of those on \"drawn\" take drawn, by hand"));
  CHECK(contains(band.verdict, "Of those on \"measured\" take measured, once"));
  CHECK(answer_words(band) == "undecided between antennas, drawn, by hand or measured, once");
  // Differences are those on one antenna.
  CHECK(band.arrangements[0].against_best.db == 0.0);
  CHECK(band.arrangements[1].against_best.db == 0.0);
  CHECK(band.arrangements[2].against_best.db == band.arrangements[2].counted_db - band.arrangements[1].counted_db);
  CHECK(band.arrangements[2].against_taken->db == band.arrangements[2].against_best.db);
}

TEST_CASE("nor does the other end, what is carried, and setting anew compare them") {
  const BandResult& band = planned().bands.front();
  const std::vector<FarEnd> ends = far_ends(solved(), planned());
  REQUIRE(ends.size() == 3);
  CHECK(ends[0].against_best_db == 0.0);
  CHECK(ends[1].against_best_db == 0.0);
  CHECK(ends[2].against_best_db > 0.0);
  CHECK(*ends[0].contacts_lost == 0.0);
  CHECK(*ends[1].contacts_lost == 0.0);
  for (const FarEnd& end : ends) CHECK_FALSE(end.against_quarter_wave_db);

  const std::vector<BandFrontier> frontiers = band_frontiers(solved(), planned(), parts_lists(solved(), planned()));
  REQUIRE(frontiers.size() == 2);
  CHECK(frontiers[0].antenna == 0U);
  REQUIRE(frontiers[0].points.size() == 1);
  CHECK(frontiers[0].points[0].by_hands);
  CHECK(frontiers[1].antenna == 1U);
  CHECK(frontiers[1].points.size() == 2);
  CHECK(frontiers[1].points[0].by_hands);
  CHECK_FALSE(frontiers[1].points[1].by_hands);

  REQUIRE(band.arrangements[0].ok);
  REQUIRE(band.arrangements[1].ok);
  const std::vector<ResetTrade> trades = reset_trades(solved(), planned());
  REQUIRE(trades.size() == 1);  // on the other nothing is set anew
  CHECK(trades[0].anew == 0);
  CHECK_FALSE(trades[0].broad);
}

TEST_CASE("a study names a best value for each of them, and none where each value makes another antenna") {
  const Study q = study(wires_and_file(), station::read_vary("parts.inductor_q=150:200:2"));
  REQUIRE(q.values_compared.front());
  REQUIRE(q.best.front().size() == 2);
  CHECK(q.best.front()[0].antenna == 0U);
  CHECK(q.best.front()[0].arrangement == 0);
  CHECK(q.best.front()[0].value == 1);
  CHECK(q.best.front()[1].antenna == 1U);
  CHECK(q.best.front()[1].arrangement == 1);
  const Study soil =
      study(wires_and_file(), station::read_vary("antenna.drawn.load.dry.wires.ground.relative_permittivity=13:15:2"));
  CHECK_FALSE(soil.values_compared.front());
  CHECK(soil.best.front().empty());
}
