#include <stile/tuner/whip_study.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/match/match.hpp>
#include <stile/wire/conditions.hpp>
#include <stile/wire/solve.hpp>

namespace stile::tuner {
namespace {

void check(bool legal, const char* field, double value, const char* range) {
  if (!legal) throw DomainError(fmt::format("{} is {} and must be {}", field, value, range));
}

constexpr double tie_db = 1e-9;  // networks of coils of one Q lose the same, however these are arranged

BreakEven break_even(std::span<const WhipStudyCell> cells) {
  BreakEven result;
  result.frequency_hz = cells.front().frequency_hz;
  const auto gain = [](const WhipStudyCell& c) {  // > 0: the coil wins
    return c.tuner_transducer_db == c.coil_db ? 0.0 : c.tuner_transducer_db - c.coil_db;
  };
  result.coil_wins_shortest = gain(cells.front()) > 0.0;
  if (!result.coil_wins_shortest) return result;
  for (std::size_t n = 1; n < cells.size(); ++n) {
    const double before = gain(cells[n - 1]), after = gain(cells[n]);
    if (after > 0.0) continue;
    const double part = std::isfinite(before) && std::isfinite(after) ? before / (before - after) : 1.0;
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
  check(q.lengths_m.low >= 10.0 * q.radius_m, "lengths_m.low", q.lengths_m.low, "at least 10 times radius_m");
  check(q.lengths_m.high > q.lengths_m.low && std::isfinite(q.lengths_m.high), "lengths_m.high", q.lengths_m.high,
        "above lengths_m.low and finite");
  check(q.band_hz.low > 0.0, "band_hz.low", q.band_hz.low, "> 0");
  check(q.band_hz.high > q.band_hz.low && std::isfinite(q.band_hz.high), "band_hz.high", q.band_hz.high,
        "above band_hz.low and finite");
  require(q.lengths >= 2 && q.frequencies >= 2, "lengths and frequencies must each be at least 2");
  require(q.ground.kind == wire::GroundKind::lossy, "a trailing wire lies on lossy ground");
}

wire::WireCase whip_of(const WhipQuestion& q, double length_m) {
  wire::WhipSet whip;
  whip.whip_length_m = length_m;
  whip.whip_radius_m = q.radius_m;
  whip.base_height_m = q.base_height_m;
  whip.wires.front().length_m = q.counterpoise_m;
  whip.wires.front().radius_m = 0.5e-3;
  whip.wires.front().lying_height_m = q.lying_height_m;
  whip.gap_m = std::max(0.02, q.radius_m);
  whip.base_capacitance_f = wire::usual_base_capacitance_f;
  whip.base_leakage_ohm = wire::usual_base_leakage_ohm;
  whip.ground = q.ground;
  if (q.carried) whip.set = wire::SetBody{}, whip.person = wire::PersonBody{};
  return wire::whip_condition(whip, wire::WhipCondition::trailing_usual);
}

/// The base coil with its step: the L network of least loss, or the coil that resonates the whip alone where what that
/// reflects is less.
void match_by_coil(WhipStudyCell& cell, cdouble z_source_ohm, const CoilStep& step) {
  match::MatchRequest request;
  request.frequency_hz = cell.frequency_hz;
  request.source.z_ohm = z_source_ohm;
  request.load = {"whip", "", load::ConstantLoad{cell.z_ohm}, {}};
  request.stock.inductor_loss.q = step.coil_q;
  request.stock.capacitor_loss.q = step.capacitor_q;
  network::Ladder best;
  if (cell.z_ohm.imag() < 0.0) {
    network::Element coil;
    coil.part = network::Inductor{-cell.z_ohm.imag() / (two_pi * cell.frequency_hz), request.stock.inductor_loss, 0.0};
    best.elements.push_back(coil);
  }
  cell.coil_db = network::evaluate(best, request.source, cell.frequency_hz, cell.z_ohm).loss.transducer_db;
  for (const match::MatchSolution& s : match::solve_match(request)) {
    if (s.evaluation.loss.transducer_db >= cell.coil_db - tie_db) continue;
    cell.coil_db = s.evaluation.loss.transducer_db;
    best = s.ladder;
  }
  cell.coil_match = match::describe(best);
}

}  // namespace

double WhipStudyCell::antenna_db() const { return -10.0 * std::log10(radiated); }

WhipStudy study_whip(const Tuner& tuner, cdouble z_source_ohm, const WhipLoad& load, std::span<const double> length_m,
                     std::span<const double> frequency_hz, double swr_limit, const CoilStep& step) {
  require(!length_m.empty() && !frequency_hz.empty(), "a whip study needs at least one length and one frequency");
  for (std::size_t n = 0; n < length_m.size(); ++n) {
    check(length_m[n] > (n == 0 ? 0.0 : length_m[n - 1]) && std::isfinite(length_m[n]), "length_m", length_m[n],
          "> 0, finite and above the one before");
  }
  check(step.coil_q > 0.0, "coil_q", step.coil_q, "> 0");
  check(step.capacitor_q > 0.0, "capacitor_q", step.capacitor_q, "> 0");
  WhipStudy study;
  for (const double f : frequency_hz) {
    const TunerTable table = tabulate(tuner, f);
    for (const double length : length_m) {
      WhipStudyCell cell;
      cell.length_m = length;
      cell.frequency_hz = f;
      const WhipFeed feed = load(length, f);
      cell.z_ohm = feed.z_ohm;
      cell.radiated = feed.radiated;
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
      match_by_coil(cell, z_source_ohm, step);
      study.cells.push_back(cell);
    }
    study.break_even.push_back(break_even(std::span(study.cells).last(length_m.size())));
  }
  return study;
}

ShortWhipStudy study_short_whips(const Tuner& tuner, cdouble z_source_ohm, const WhipQuestion& q, double swr_limit,
                                 const std::function<void(const std::string&)>& progress, unsigned threads) {
  check(q);
  ShortWhipStudy result{by_ratio(q.lengths_m.low, q.lengths_m.high, q.lengths),
                        by_ratio(q.band_hz.low, q.band_hz.high, q.frequencies),
                        {}};
  std::vector<wire::WireCase> whips;
  for (const double h : result.length_m) whips.push_back(whip_of(q, h));
  const wire::SolveOptions options = wire::with_tables({});
  for (const double f : result.frequency_hz) {
    if (progress) progress("whip study, " + print_quantity(f, Unit::hertz));
    std::vector<WhipFeed> feeds(whips.size());
    in_blocks(feeds.size(), 1, threads, [&](std::size_t first, std::size_t last) {
      for (std::size_t n = first; n < last; ++n) {
        const wire::AntennaSolution s = wire::solve_antenna(whips[n].antenna, whips[n].ground, f, options);
        feeds[n] = {s.feed_ohm, s.share.radiated};
      }
    });
    const auto load = [&](double length_m, double) {
      const auto place = std::lower_bound(result.length_m.begin(), result.length_m.end(), length_m);
      return feeds[static_cast<std::size_t>(place - result.length_m.begin())];
    };
    const WhipStudy part =
        study_whip(tuner, z_source_ohm, load, result.length_m, std::span<const double>(&f, 1), swr_limit, q.step);
    result.study.cells.insert(result.study.cells.end(), part.cells.begin(), part.cells.end());
    result.study.break_even.insert(result.study.break_even.end(), part.break_even.begin(), part.break_even.end());
  }
  return result;
}

}  // namespace stile::tuner
