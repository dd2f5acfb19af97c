#include "sweep/charts.hpp"

#include <fmt/core.h>

#include <stile/plots/impedance_tracks.hpp>

#include "cli/cautions.hpp"
#include "cli/command_line.hpp"

namespace stile::tools {
namespace {

/// At most some 1500 points of a long sweep, evenly: more are not seen.
plots::ImpedanceTrack track_of(const std::string& label, const std::vector<double>& f, const std::vector<cdouble>& z) {
  plots::ImpedanceTrack track{label, {}, {}};
  const std::size_t step = f.size() / 1500 + 1;
  for (std::size_t i = 0; i < f.size(); i += step) {
    track.frequency_hz.push_back(f[i]);
    track.z_ohm.push_back(z[i]);
  }
  return track;
}

}  // namespace

plots::Chart sweep_chart(const SweepCase& c) {
  std::string names = c.measured->name;
  for (std::size_t i = 0; i < c.measured_others; ++i) names += ", " + c.others[i].name;
  const std::string source =
      fmt::format("Measured: {}, read by {}{}", names, version_text("stile-sweep"), chart_caution);
  std::vector<plots::ImpedanceTrack> tracks;
  if (c.show == "comparison") {
    for (const sweep::Comparison& comparison : c.comparisons) {
      plots::ImpedanceTrack moved{comparison.second, {}, {}};
      for (const sweep::ComparedPoint& p : comparison.points) {
        moved.frequency_hz.push_back(p.frequency_hz);
        moved.z_ohm.push_back(p.moved_ohm);
      }
      tracks.push_back(track_of(moved.label, moved.frequency_hz, moved.z_ohm));
    }
    std::string shifts;
    for (const sweep::Comparison& comparison : c.comparisons)
      for (const sweep::ResonanceShift& r : comparison.resonances)
        shifts += fmt::format("{}{} by {:.4g} kHz", shifts.empty() ? ". Resonance moved: " : ", ", comparison.second,
                              1e-3 * r.moved_hz);
    return plots::tracks_chart(tracks, {"What R moved", "R, ohm", "What X moved", "X, ohm"},
                               {"Moved against " + c.corrected->name + shifts, source});
  }
  if (c.show == "residual") {
    std::vector<cdouble> off;
    for (std::size_t i = 0; i < c.fit->model_ohm.size(); ++i)
      off.push_back(c.corrected->z_ohm[i] - c.fit->model_ohm[i]);
    tracks.push_back(track_of("measured less fitted", c.fit->frequency_hz, off));
    return plots::tracks_chart(tracks, {"Residual of R", "R, ohm", "Residual of X", "X, ohm"},
                               {fmt::format("What the model {} leaves over", sweep::model_name(c.fit->model)), source});
  }
  const std::string first = c.others.empty() ? "" : c.measured->name + ", ";
  tracks.push_back(track_of(first + "measured", c.measured->frequency_hz, c.measured->z_ohm));
  if (!c.corrections.empty())
    tracks.push_back(track_of(first + "corrected", c.corrected->frequency_hz, c.corrected->z_ohm));
  if (c.fit && !c.fit->model_ohm.empty())
    tracks.push_back(
        track_of(fmt::format("fitted, {}", sweep::model_name(c.fit->model)), c.fit->frequency_hz, c.fit->model_ohm));
  for (std::size_t i = 0; i < c.others.size(); ++i) {
    const sweep::OnePort& other = c.others[i];
    const char* what = i >= c.measured_others ? ", compared" : other.corrected ? ", corrected" : ", measured";
    tracks.push_back(track_of(other.name + what, other.frequency_hz, other.z_ohm));
  }
  if (c.show == "smith")
    return plots::tracks_smith_chart(tracks, c.measured->reference_ohm, {"Measured impedance", source});
  return plots::tracks_chart(tracks, {"Resistance", "resistance, ohm", "Reactance", "reactance, ohm"},
                             {"Measured impedance", source});
}

}  // namespace stile::tools
