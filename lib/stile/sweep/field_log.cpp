#include <stile/sweep/field_log.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <boost/math/distributions/non_central_t.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/table.hpp>
#include <stile/load/load_sweep.hpp>
#include <stile/network/waves.hpp>
#include <stile/sweep/detail/least_squares.hpp>

namespace stile::sweep {

std::vector<LogEntry> read_log(std::string_view text, const std::string& file) {
  const Table table = read_table(text, file);
  static constexpr std::array<std::string_view, 16> known{
      "frequency_hz", "frequency_mhz", "time",        "place",       "ground",    "wetness",
      "condition",    "state",         "swr",         "power_w",     "current_a", "report_db",
      "report_s",     "field_v_m",     "foretold_db", "foretold_v_m"};
  for (const Cell& cell : table.heading)
    if (std::find(known.begin(), known.end(), cell.text) == known.end())
      throw ParseError(
          cell.where,
          "\"" + cell.text +
              "\" is not a column of a log; legal: frequency_hz or frequency_mhz, time, place, ground, "
              "wetness, condition, state, swr, power_w, current_a, one of report_db, report_s and field_v_m, one of "
              "foretold_db and foretold_v_m");
  const bool mega = table.has_column("frequency_mhz");
  if (mega == table.has_column("frequency_hz"))
    throw ParseError({file, table.heading.front().where.line, 0}, "one of frequency_hz and frequency_mhz is needed");
  const auto count = [&](std::initializer_list<std::string_view> columns) {
    return std::count_if(columns.begin(), columns.end(), [&](std::string_view c) { return table.has_column(c); });
  };
  if (count({"report_db", "report_s", "field_v_m"}) > 1)
    throw ParseError({file, table.heading.front().where.line, 0},
                     "report_db, report_s and field_v_m exclude each other");
  if (count({"foretold_db", "foretold_v_m"}) > 1)
    throw ParseError({file, table.heading.front().where.line, 0}, "foretold_db and foretold_v_m exclude each other");
  std::vector<LogEntry> log;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    LogEntry entry;
    const auto words = [&](std::string_view column, std::string& into) {
      if (table.has_column(column)) into = table.text(row, column);
    };
    const auto number = [&](std::string_view column, double least, const char* legal) -> std::optional<double> {
      if (!table.has_column(column) || table.text(row, column).empty()) return {};
      const double value = table.number(row, column);
      if (value < least) throw ParseError(table.rows[row][table.column(column)].where, legal);
      return value;
    };
    const std::string_view f = mega ? "frequency_mhz" : "frequency_hz";
    entry.line = table.rows[row].front().where.line;
    entry.frequency_hz = table.number(row, f) * (mega ? 1e6 : 1.0);
    if (entry.frequency_hz <= 0.0) throw ParseError(table.rows[row][table.column(f)].where, "a frequency must be > 0");
    words("time", entry.time);
    words("place", entry.place);
    words("ground", entry.ground);
    words("wetness", entry.wetness);
    words("condition", entry.condition);
    words("state", entry.state);
    entry.swr = number("swr", 1.0, "an SWR must be at least 1");
    entry.power_w = number("power_w", 0.0, "a power must be >= 0");
    entry.current_a = number("current_a", 0.0, "a current must be >= 0");
    entry.report_db = number("report_db", -1e9, "");
    if (const auto s = number("report_s", 0.0, "S units must be >= 0")) entry.report_db = *s * db_per_s_unit;
    const auto field = [&](std::string_view column) -> std::optional<double> {
      const auto v_m = number(column, 1e-12, "a field strength must be at least 1e-12 V/m");
      if (!v_m) return {};
      return 20.0 * std::log10(*v_m);
    };
    if (table.has_column("field_v_m")) entry.report_db = field("field_v_m");
    entry.foretold_db = number("foretold_db", -1e9, "");
    if (table.has_column("foretold_v_m")) entry.foretold_db = field("foretold_v_m");
    log.push_back(std::move(entry));
  }
  return log;
}

std::vector<LoggedAgainst> compare_log(const std::vector<LogEntry>& log, const std::vector<load::Load>& loads,
                                       const network::Ladder& ladder, double reference_ohm) {
  require(std::isfinite(reference_ohm) && reference_ohm > 0.0, "the reference must be finite and > 0 ohm");
  std::vector<LoggedAgainst> result;
  for (std::size_t i = 0; i < log.size(); ++i) {
    const LogEntry& entry = log[i];
    const bool with_current = entry.current_a && entry.power_w && *entry.power_w > 0.0;
    if (!entry.swr && !with_current) continue;
    const auto load = std::find_if(loads.begin(), loads.end(), [&](const load::Load& l) {
      return entry.condition.empty() ? loads.size() == 1 : l.name == entry.condition;
    });
    if (load == loads.end() || !load::load_covers(*load, entry.frequency_hz)) continue;
    const std::array<double, 1> at{entry.frequency_hz};
    network::Source source;
    source.z_ohm = reference_ohm;
    if (with_current) source.power_w = *entry.power_w;
    const network::Evaluation e = load::evaluate_into_load(ladder, source, *load, at).front();
    LoggedAgainst against;
    against.entry = i;
    against.predicted_swr = e.swr;
    if (entry.swr) {
      against.swr = *entry.swr;
      against.mismatch_db =
          network::mismatch_loss_db(network::reflection_abs_from_swr(*entry.swr)) - e.loss.mismatch_db;
    }
    if (with_current) {
      against.current_a = *entry.current_a;
      against.predicted_current_a = std::abs(e.load_current_a);
    }
    result.push_back(against);
  }
  return result;
}

Alternations alternations_needed(double step_db, double fading_db, double false_alarm, double missed) {
  require(step_db > 0.0 && std::isfinite(step_db), "the step must be > 0 dB");
  require(fading_db > 0.0 && std::isfinite(fading_db), "the fading must be > 0 dB");
  require(false_alarm > 0.0 && false_alarm < 0.5 && missed > 0.0 && missed < 0.5,
          "the chances must be > 0 and below 0.5");
  const auto misses = [&](std::size_t pairs) {
    const double freedom = static_cast<double>(pairs - 1), root = std::sqrt(static_cast<double>(pairs));
    const double limit = boost::math::quantile(boost::math::students_t(freedom), 1.0 - 0.5 * false_alarm);
    return boost::math::cdf(boost::math::non_central_t(freedom, root * step_db / fading_db), limit);
  };
  // Misses fall with the number of pairs: doubled until enough, then halved down to the least.
  std::size_t enough = 2;
  while (misses(enough) > missed) {
    require(enough < 1000000, "more than a million alternations: the step is lost in this fading");
    enough *= 2;
  }
  std::size_t few = enough / 2;
  while (enough - few > 1 && enough > 2) {
    const std::size_t middle = (enough + few) / 2;
    (misses(middle) > missed ? few : enough) = middle;
  }
  Alternations result;
  result.pairs = enough;
  result.text = fmt::format(
      "{} alternations (one reading of each, right after the other) show a step of {:.3g} dB through fading of "
      "{:.3g} dB in {:.0f} of 100 such series, and call a step that is not there in {:.2g} of 100",
      enough, step_db, fading_db, 100.0 * (1.0 - missed), 100.0 * false_alarm);
  return result;
}

AlternationResult judge_alternations(const std::vector<LogEntry>& log) {
  AlternationResult result;
  std::vector<const LogEntry*> reports;
  std::vector<std::string> states;
  for (const LogEntry& entry : log) {
    if (!entry.report_db) continue;
    reports.push_back(&entry);
    if (std::find(states.begin(), states.end(), entry.state) == states.end()) states.push_back(entry.state);
  }
  if (states.size() != 2) {
    result.text =
        fmt::format("not judged, the reports are of {} state{}", states.size(), states.size() == 1 ? "" : "s");
    for (std::size_t i = 0; i < states.size(); ++i) result.text += fmt::format("{} \"{}\"", i ? "," : "", states[i]);
    result.text += "; alternate between two";
    return result;
  }
  result.first = states[0];
  result.second = states[1];
  const auto pairs = [](const LogEntry& a, const LogEntry& b) {
    return a.state != b.state && a.condition == b.condition && a.place == b.place &&
           std::max(a.frequency_hz, b.frequency_hz) <= 1.1 * std::min(a.frequency_hz, b.frequency_hz);
  };
  std::vector<double> differences;
  double foretold = 0.0;
  std::size_t with_foretold = 0;
  for (std::size_t i = 0; i + 1 < reports.size();) {
    if (!pairs(*reports[i], *reports[i + 1])) {
      ++i;
      continue;
    }
    const double d = *reports[i]->report_db - *reports[i + 1]->report_db;
    const double sign = reports[i]->state == result.first ? 1.0 : -1.0;
    differences.push_back(sign * d);
    if (reports[i]->foretold_db && reports[i + 1]->foretold_db) {
      foretold += sign * (*reports[i]->foretold_db - *reports[i + 1]->foretold_db);
      ++with_foretold;
    }
    i += 2;
  }
  result.pairs = differences.size();
  if (differences.size() < 2) {
    result.text =
        fmt::format("not judged, {} alternation{} between \"{}\" and \"{}\" within one band, condition and place; "
                    "two or more are needed",
                    differences.size(), differences.size() == 1 ? "" : "s", result.first, result.second);
    return result;
  }
  result.judged = true;
  const auto n = static_cast<double>(differences.size());
  double mean = 0.0, squares = 0.0;
  for (const double d : differences) mean += d / n;
  for (const double d : differences) squares += (d - mean) * (d - mean);
  result.fading_db = std::sqrt(squares / (n - 1.0));
  const double error = result.fading_db / std::sqrt(n);
  result.difference_db = {mean, detail::half_width_95(n - 1.0) * error};
  result.chance =
      error > 0.0
          ? 2.0 * boost::math::cdf(boost::math::complement(boost::math::students_t(n - 1.0), std::abs(mean) / error))
          : (mean == 0.0 ? 1.0 : 0.0);
  const std::string& better = mean >= 0.0 ? result.first : result.second;
  result.text =
      result.chance <= 0.05
          ? fmt::format("\"{}\" is stronger by {:.2g} dB +- {:.2g} over {} alternations; fading alone would show so "
                        "much in {:.2g} "
                        "of 100 series",
                        better, std::abs(mean), result.difference_db.uncertainty, result.pairs, 100.0 * result.chance)
          : fmt::format("no difference is shown: {:.2g} dB +- {:.2g} over {} alternations, and fading alone would show "
                        "so much in "
                        "{:.2g} of 100 series; a step of {:.2g} dB would take some {} alternations",
                        std::abs(mean), result.difference_db.uncertainty, result.pairs, 100.0 * result.chance,
                        std::max(0.5, std::abs(mean)),
                        alternations_needed(std::max(0.5, std::abs(mean)), std::max(1e-3, result.fading_db)).pairs);
  if (with_foretold == differences.size()) {
    result.foretold_db = foretold / n;
    result.agrees = std::abs(mean - *result.foretold_db) <= result.difference_db.uncertainty;
    result.text += fmt::format("; foretold is {:.2g} dB for \"{}\" over \"{}\" and {:.2g} measured, which {}",
                               *result.foretold_db, result.first, result.second, mean,
                               result.agrees ? "agree within the uncertainty" : "differ by more than the uncertainty");
  }
  return result;
}

}  // namespace stile::sweep
