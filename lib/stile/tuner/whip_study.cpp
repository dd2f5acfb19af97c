#include <stile/tuner/whip_study.hpp>

#include <cmath>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/wire/closed_forms.hpp>

namespace stile::tuner {
namespace {

void check(bool legal, const char* field, double value, const char* range) {
  if (!legal) throw DomainError(fmt::format("{} is {} and must be {}", field, value, range));
}

BreakEven break_even(std::span<const WhipStudyCell> cells) {
  BreakEven result;
  result.frequency_hz = cells.front().frequency_hz;
  const auto gain = [](const WhipStudyCell& c) { return c.tuner_transducer_db - c.coil_db; };  // > 0: the coil wins
  result.coil_wins_shortest = gain(cells.front()) > 0.0;
  if (!result.coil_wins_shortest) return result;
  for (std::size_t n = 1; n < cells.size(); ++n) {
    const double before = gain(cells[n - 1]), after = gain(cells[n]);
    if (after > 0.0) continue;
    const double part = std::isfinite(before) ? before / (before - after) : 1.0;
    result.length_m = cells[n - 1].length_m + part * (cells[n].length_m - cells[n - 1].length_m);
    break;
  }
  return result;
}

/// `count` values rising by one ratio, both ends included.
std::vector<double> by_ratio(double low, double high, std::size_t count) {
  std::vector<double> values;
  for (std::size_t n = 0; n < count; ++n)
    values.push_back(low * std::pow(high / low, static_cast<double>(n) / static_cast<double>(count - 1)));
  values.back() = high;
  return values;
}

void check(const WhipQuestion& q) {
  check(q.radius_m > 0.0 && std::isfinite(q.radius_m), "radius_m", q.radius_m, "> 0 and finite");
  check(q.ground_ohm >= 0.0 && std::isfinite(q.ground_ohm), "ground_ohm", q.ground_ohm, ">= 0 and finite");
  check(q.lengths_m.low >= 10.0 * q.radius_m, "lengths_m.low", q.lengths_m.low, "at least 10 times radius_m");
  check(q.lengths_m.high > q.lengths_m.low && std::isfinite(q.lengths_m.high), "lengths_m.high", q.lengths_m.high,
        "above lengths_m.low and finite");
  check(q.band_hz.low > 0.0, "band_hz.low", q.band_hz.low, "> 0");
  check(q.band_hz.high > q.band_hz.low && std::isfinite(q.band_hz.high), "band_hz.high", q.band_hz.high,
        "above band_hz.low and finite");
  require(q.lengths >= 2 && q.frequencies >= 2, "lengths and frequencies must each be at least 2");
  require(q.lengths_m.low * 4.0 * q.band_hz.low <= speed_of_light_m_s,
          "every whip is longer than a quarter wave; legal: shorter ones, or lower frequencies");
}

}  // namespace

WhipStudy study_whip(const Tuner& tuner, cdouble z_source_ohm, const WhipLoad& load, std::span<const double> length_m,
                     std::span<const double> frequency_hz, double swr_limit, double coil_q) {
  require(!length_m.empty() && !frequency_hz.empty(), "a whip study needs at least one length and one frequency");
  for (std::size_t n = 0; n < length_m.size(); ++n) {
    check(length_m[n] > (n == 0 ? 0.0 : length_m[n - 1]) && std::isfinite(length_m[n]), "length_m", length_m[n],
          "> 0, finite and above the one before");
  }
  check(coil_q > 0.0, "coil_q", coil_q, "> 0");
  WhipStudy study;
  for (const double f : frequency_hz) {
    const TunerTable table = tabulate(tuner, f);
    for (const double length : length_m) {
      WhipStudyCell cell;
      cell.length_m = length;
      cell.frequency_hz = f;
      cell.z_ohm = load(length, f);
      check(cell.z_ohm.real() > 0.0, "the real part of the whip's impedance", cell.z_ohm.real(), "> 0");
      const TunerChoice choice = choose_state(tuner, table, z_source_ohm, cell.z_ohm, swr_limit);
      const TunerSetting& best = choice.most_delivered;
      cell.status = choice.least_loss.status;
      cell.swr = cell.tuner_dissipation_db = cell.tuner_transducer_db = network::infinite;
      if (best.status == TunerStatus::found) {
        cell.swr = best.swr;
        cell.tuner_dissipation_db = best.dissipation_db;
        cell.tuner_transducer_db = transducer_db(best.swr, best.dissipation_db);
      }
      if (cell.z_ohm.imag() < 0.0)
        cell.coil_db = 10.0 * std::log10(1.0 - cell.z_ohm.imag() / (coil_q * cell.z_ohm.real()));
      study.cells.push_back(cell);
    }
    study.break_even.push_back(break_even(std::span(study.cells).last(length_m.size())));
  }
  return study;
}

ShortWhipStudy study_short_whips(const Tuner& tuner, cdouble z_source_ohm, const WhipQuestion& q, double swr_limit,
                                 const std::function<void(const std::string&)>& progress) {
  check(q);
  ShortWhipStudy result{by_ratio(q.lengths_m.low, q.lengths_m.high, q.lengths),
                        by_ratio(q.band_hz.low, q.band_hz.high, q.frequencies),
                        {}};
  const auto load = [&](double h, double f) { return wire::short_monopole_ohm(h, q.radius_m, f) + q.ground_ohm; };
  for (const double f : result.frequency_hz) {
    if (progress) progress("whip study, " + print_quantity(f, Unit::hertz));
    std::vector<double> known;
    for (const double h : result.length_m) {
      if (4.0 * h * f <= speed_of_light_m_s) known.push_back(h);
    }
    if (known.empty()) continue;
    const WhipStudy part =
        study_whip(tuner, z_source_ohm, load, known, std::span<const double>(&f, 1), swr_limit, q.coil_q);
    result.study.cells.insert(result.study.cells.end(), part.cells.begin(), part.cells.end());
    result.study.break_even.insert(result.study.break_even.end(), part.break_even.begin(), part.break_even.end());
  }
  return result;
}

}  // namespace stile::tuner
