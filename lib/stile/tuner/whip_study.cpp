#include <stile/tuner/whip_study.hpp>

#include <cmath>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

namespace stile {
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

}  // namespace

cdouble short_whip_ohm(double length_m, double radius_m, double ground_ohm, double frequency_hz) {
  check(frequency_hz > 0.0 && std::isfinite(frequency_hz), "frequency_hz", frequency_hz, "> 0 and finite");
  check(length_m > 0.0 && std::isfinite(length_m), "length_m", length_m, "> 0 and finite");
  check(radius_m > 0.0 && radius_m < length_m / std::exp(1.0), "radius_m", radius_m, "> 0 and below length_m / e");
  check(ground_ohm >= 0.0 && std::isfinite(ground_ohm), "ground_ohm", ground_ohm, ">= 0 and finite");
  const double kh = two_pi * frequency_hz / speed_of_light_m_s * length_m;
  check(kh < 0.5 * two_pi, "length_m", length_m, "below a half wave");
  return {10.0 * kh * kh + ground_ohm, -60.0 * (std::log(length_m / radius_m) - 1.0) / std::tan(kh)};
}

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
      cell.swr = cell.tuner_dissipation_db = cell.tuner_transducer_db = infinite;
      if (best.status == TunerStatus::found) {
        cell.swr = best.swr;
        cell.tuner_dissipation_db = best.dissipation_db;
        cell.tuner_transducer_db =
            best.dissipation_db + 10.0 * std::log10((best.swr + 1.0) * (best.swr + 1.0) / (4.0 * best.swr));
      }
      if (cell.z_ohm.imag() < 0.0)
        cell.coil_db = 10.0 * std::log10(1.0 - cell.z_ohm.imag() / (coil_q * cell.z_ohm.real()));
      study.cells.push_back(cell);
    }
    study.break_even.push_back(break_even(std::span(study.cells).last(length_m.size())));
  }
  return study;
}

}  // namespace stile
