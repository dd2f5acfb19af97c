#include <stile/plan/vary.hpp>

#include <algorithm>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/plan/compared.hpp>
#include <stile/station/solve_loads.hpp>

namespace stile::plan {
namespace {

/// Numbers under these keys leave every antenna as it is, but for those of a whip that an arrangement changes.
bool leaves_antennas(const std::string& path, const station::Station& station) {
  const std::string key = path.substr(0, path.find('.'));
  if (key == "arrangement" && path.find(".whip.") != std::string::npos) return false;
  const auto winds_whip = [](const station::Arrangement& a) { return a.whip && a.whip->coil; };
  if (key == "coil" && std::any_of(station.arrangements.begin(), station.arrangements.end(), winds_whip)) return false;
  for (const char* other : {"transmitter", "cable", "coil", "parts", "tuner", "arrangement", "uncertainty", "decision",
                            "mode", "battery", "exposure", "contacts", "hands"}) {
    if (key == other) return true;
  }
  return false;
}

VariedBand varied(const BandResult& band) {
  VariedBand v{band.counted, band.choice, band.taken, answer_words(band), {}};
  for (const ArrangementResult& a : band.arrangements)
    v.arrangements.push_back({a.counted_db, a.worst_swr, a.ok, a.holds_throughout});
  return v;
}

std::optional<BestValue> best_value(const std::vector<std::vector<VariedBand>>& values, std::size_t band,
                                    const Comparable& group) {
  std::optional<BestValue> best;
  for (std::size_t n = 0; n < values.size(); ++n) {
    for (const std::size_t a : group.arrangements) {
      const VariedArrangement& of = values[n][band].arrangements[a];
      if (!of.ok) continue;
      const bool surer = best && of.holds_throughout != best->holds_throughout;
      if (!best || (surer ? of.holds_throughout : of.counted_db < best->counted_db))
        best = BestValue{group.antenna, n, a, of.counted_db, of.holds_throughout};
    }
  }
  return best;
}

/// Values may be compared where the same power counts at all of them, and antennas may, or are the same ones.
bool comparable_values(const std::vector<std::vector<VariedBand>>& values, std::size_t band, bool same_antennas) {
  const Counted counted = values.front()[band].counted;
  return (same_antennas || antennas_comparable(counted)) &&
         std::all_of(values.begin(), values.end(), [&](const auto& value) { return value[band].counted == counted; });
}

}  // namespace

std::string answer_words(const BandResult& band) {
  if (!band.taken || band.choice == Choice::none) return "nothing holds";
  if (band.apart.size() > 1) {
    std::vector<std::string> names;
    for (const std::size_t n : band.apart) names.push_back(band.arrangements[n].name);
    return fmt::format("undecided between antennas, {}", fmt::join(names, " or "));
  }
  const std::string& name = band.arrangements[*band.taken].name;
  return band.choice == Choice::undecided ? fmt::format("undecided, {} as stated", name) : "take " + name;
}

Study study(const station::StationText& stated, const station::Vary& vary,
            const std::function<void(const std::string&)>& progress, unsigned threads,
            const wire::SolveOptions& stated_options) {
  Study result;
  result.vary = vary;
  result.stated = station::number_at(stated, vary.what);
  std::vector<station::Station> stations;  // all are read before the first is computed
  for (const std::string& text : vary.texts)
    stations.push_back(station::read_station(station::with_number(stated, vary.what, text)));
  const wire::SolveOptions options = wire::with_tables(stated_options);
  std::vector<station::Antenna> solved;
  for (std::size_t n = 0; n < stations.size(); ++n) {
    station::Station& one = stations[n];
    const auto tell = [&](const std::string& line) {
      progress(fmt::format("{} of {}, {} = {}: {}", n + 1, stations.size(), vary.what, vary.shown[n], line));
    };
    const std::function<void(const std::string&)> lines = progress ? tell : std::function<void(const std::string&)>{};
    if (solved.empty() || !leaves_antennas(vary.what, one))
      one = station::solve_loads(std::move(one), {}, lines, threads, options);
    else
      one.antennas = solved;
    solved = one.antennas;
    if (n == 0) result.station = one;
    const Plan plan = make_plan(one, lines, threads, false);
    result.values.emplace_back();
    for (const BandResult& band : plan.bands) result.values.back().push_back(varied(band));
  }
  for (std::size_t b = 0; b < result.station.bands.size(); ++b) {
    const bool same_antennas = leaves_antennas(vary.what, result.station);
    result.values_compared.push_back(comparable_values(result.values, b, same_antennas));
    result.best.emplace_back();
    if (result.values_compared.back()) {
      for (const Comparable& group : comparable_groups(result.station, result.values.front()[b].counted)) {
        if (const auto best = best_value(result.values, b, group)) result.best.back().push_back(*best);
      }
    }
    for (std::size_t n = 0; n + 1 < result.values.size(); ++n) {
      const std::string &before = result.values[n][b].answer, &after = result.values[n + 1][b].answer;
      if (before != after) result.crossings.push_back({b, n, before, after});
    }
  }
  return result;
}

}  // namespace stile::plan
