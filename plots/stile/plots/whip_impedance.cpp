#include <stile/plots/whip_impedance.hpp>

#include <stile/base/errors.hpp>
#include <stile/plots/impedance_tracks.hpp>

namespace stile::plots {
namespace {

std::vector<ImpedanceTrack> tracks_of(const std::vector<WhipSweep>& conditions) {
  std::vector<ImpedanceTrack> tracks;
  for (const WhipSweep& c : conditions) {
    tracks.push_back({c.condition, {}, {}});
    for (const wire::AntennaSolution& s : c.points) {
      require(s.feed_ohm.real() > 0.0, "the resistance of a whip must be > 0");
      tracks.back().frequency_hz.push_back(s.frequency_hz);
      tracks.back().z_ohm.push_back(s.feed_ohm);
    }
  }
  return tracks;
}

}  // namespace

Chart whip_impedance_chart(const std::vector<WhipSweep>& conditions, const ChartText& text) {
  return tracks_chart(tracks_of(conditions), {"Feed resistance", "resistance, ohm", "Feed reactance", "reactance, ohm"},
                      text);
}

Chart whip_smith_chart(const std::vector<WhipSweep>& conditions, double reference_ohm, const ChartText& text) {
  return tracks_smith_chart(tracks_of(conditions), reference_ohm, text);
}

}  // namespace stile::plots
