#include <stile/plots/impedance_tracks.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/plots/label_places.hpp>
#include <stile/plots/line_panels.hpp>
#include <stile/plots/smith_grid.hpp>
#include <stile/plots/smith_panel.hpp>

namespace stile::plots {
namespace {

using namespace detail;

constexpr double panel_pt = page_width_pt - 2.0 * page_margin_pt - 54.0;

void check(const std::vector<ImpedanceTrack>& tracks) {
  require(!tracks.empty() && tracks.size() <= 16, "a chart of impedances takes 1 to 16 tracks");
  for (const ImpedanceTrack& t : tracks) {
    require(!t.frequency_hz.empty() && t.frequency_hz.size() == t.z_ohm.size(),
            "a track needs a point, and an impedance each");
    for (std::size_t n = 0; n < t.frequency_hz.size(); ++n)
      require(t.frequency_hz[n] > (n ? t.frequency_hz[n - 1] : 0.0),
              "the frequencies of a track must be > 0 and rising");
  }
}

FrequencyAxis axis_of(const std::vector<ImpedanceTrack>& tracks) {
  std::vector<double> all;
  for (const ImpedanceTrack& c : tracks) {
    all.insert(all.end(), c.frequency_hz.begin(), c.frequency_hz.end());
  }
  return {std::move(all), panel_pt};
}

/// Allocated to the amateur service in all three regions, in part as a secondary one, MHz: ITU Radio Regulations,
/// Article 5 (from memory).
constexpr std::array<Range, 10> bands_mhz{{{1.81, 1.85},
                                           {3.5, 3.8},
                                           {5.3515, 5.3665},
                                           {7.0, 7.2},
                                           {10.1, 10.15},
                                           {14.0, 14.35},
                                           {18.068, 18.168},
                                           {21.0, 21.45},
                                           {24.89, 24.99},
                                           {28.0, 29.7}}};

/// The bands in a stretch of the axis that is much wider than they are; nothing on an axis of narrow stretches.
std::vector<Range> shaded_bands(const std::vector<ImpedanceTrack>& tracks, const FrequencyAxis& axis) {
  constexpr double wide_mhz = 1.5, least_pt = 1.2;
  const double least = 0.5 * least_pt / panel_pt * static_cast<double>(axis.groups());
  std::vector<Range> shaded;
  for (const Range& band : bands_mhz) {
    double low = 1e300, high = 0.0;  // of the stretch that holds the band
    for (const ImpedanceTrack& t : tracks) {
      for (const double f : t.frequency_hz) {
        if (axis.group(f) != axis.group(1e6 * band.low)) continue;
        low = std::min(low, 1e-6 * f);
        high = std::max(high, 1e-6 * f);
      }
    }
    if (high - low < wide_mhz || band.high < low || band.low > high) continue;
    const double from = axis.x(1e6 * std::max(low, band.low)), to = axis.x(1e6 * std::min(high, band.high));
    const double middle = 0.5 * (from + to), half = std::max(0.5 * (to - from), least);
    shaded.push_back({middle - half, middle + half});
  }
  return shaded;
}

/// Points by stretches of the axis.
template <class Make>
auto pieces_of(const ImpedanceTrack& c, const FrequencyAxis& axis, const Make& make) {
  std::vector<std::vector<decltype(make(0.0, cdouble{}))>> pieces;
  std::size_t group = axis.groups();
  for (std::size_t n = 0; n < c.frequency_hz.size(); ++n) {
    if (axis.group(c.frequency_hz[n]) != group) pieces.emplace_back();
    group = axis.group(c.frequency_hz[n]);
    pieces.back().push_back(make(c.frequency_hz[n], c.z_ohm[n]));
  }
  return pieces;
}

cdouble reflection_of(cdouble z, double reference_ohm) { return (z - reference_ohm) / (z + reference_ohm); }

std::optional<SmithWindow> window_of(const std::vector<ImpedanceTrack>& tracks, double reference_ohm) {
  std::vector<cdouble> all;
  for (const ImpedanceTrack& t : tracks)
    for (const cdouble z : t.z_ohm) all.push_back(reflection_of(z, reference_ohm));
  return crowded_window(all);
}

}  // namespace

Chart tracks_chart(const std::vector<ImpedanceTrack>& tracks, const TrackTitles& titles, const ChartText& text) {
  check(tracks);
  const FrequencyAxis axis = axis_of(tracks);
  LinePanel r{titles.real, "frequency, MHz", titles.real_axis, axis.commands(), false, false, axis.groups(), {}};
  LinePanel x{
      titles.imaginary, "frequency, MHz", titles.imaginary_axis, axis.commands(), false, false, axis.groups(), {}};
  std::vector<std::string> labels;
  double least = 1e300, most = 0.0, least_x = 1e300, most_x = -1e300;
  for (const ImpedanceTrack& c : tracks) {
    r.lines.push_back({labels.size(), pieces_of(c, axis, [&](double f, cdouble z) {
                         return Point{axis.x(f), z.real()};
                       })});
    x.lines.push_back({labels.size(), pieces_of(c, axis, [&](double f, cdouble z) {
                         return Point{axis.x(f), z.imag()};
                       })});
    labels.push_back(c.label);
    for (const cdouble& z : c.z_ohm) {
      least = std::min(least, z.real());
      most = std::max(most, z.real());
      least_x = std::min(least_x, z.imag());
      most_x = std::max(most_x, z.imag());
    }
  }
  constexpr double wide = 100.0, many = 5.0;
  r.log_y = least > 0.0 && most > 10.0 * least;
  const double far = std::max(std::abs(least_x), std::abs(most_x)),
               near = std::min(std::abs(least_x), std::abs(most_x));
  x.symmetric_log = far > wide && (least_x * most_x <= 0.0 || far > many * near);
  std::vector<std::string> notes;
  if (x.symmetric_log) notes.emplace_back("The lower axis is logarithmic both ways from 0, even within about 10 ohm.");
  r.shaded = x.shaded = shaded_bands(tracks, axis);
  if (!r.shaded.empty())
    notes.emplace_back("Grey: amateur bands that all three regions have (Radio Regulations, Article 5; from memory).");
  return line_chart({r, x}, labels, {400.0, 170.0}, text, notes);
}

Chart tracks_smith_chart(const std::vector<ImpedanceTrack>& tracks, double reference_ohm, const ChartText& text) {
  check(tracks);
  require(reference_ohm > 0.0 && std::isfinite(reference_ohm), "the reference must be > 0 and finite");
  const FrequencyAxis axis = axis_of(tracks);
  std::vector<LegendEntry> entries;
  for (std::size_t i = 0; i < tracks.size(); ++i) {
    const LineStyle style = line_style(i);
    entries.push_back({tracks[i].label, line_options(style) + " lw 1.6",
                       fmt::format("lc rgb '{}' pt {} ps 0.65", style.colour, style.mark), ""});
  }
  const double page_pt = page_width_pt - 2.0 * page_margin_pt;
  const Legend legend(entries, page_pt);
  const bool one = axis.groups() == 1 && axis.single(0);  // then the title gives the frequency
  constexpr double window_pt = 360.0;
  const std::optional<SmithWindow> window = window_of(tracks, reference_ohm);
  const Surround surround(text, {(window ? smith_window_note(reference_ohm) : smith_note(reference_ohm)) +
                                 (one ? "" : " Marks at the ends of each stretch, figures: MHz.")});
  Page page(surround.top_pt() + (window ? window_pt + smith_figures_height_pt : smith_frame_height_pt) + 6.0 +
            legend.height_pt() + 4.0 + surround.bottom_pt());
  const double top_pt = page.height_pt() - surround.top_pt();
  SmithPanel plane =
      window ? SmithPanel(page, page_margin_pt + smith_figures_beside_pt, top_pt, window_pt, reference_ohm, *window)
             : SmithPanel(page, top_pt, reference_ohm);
  if (window) plane.overview();

  struct Name {
    Point at;
    std::string text;
  };
  std::vector<Name> names;
  for (std::size_t i = 0; i < tracks.size(); ++i) {
    const LineStyle style = line_style(i);
    const auto pieces = pieces_of(tracks[i], axis, [&](double, cdouble z) { return reflection_of(z, reference_ohm); });
    std::size_t first = 0;
    for (const std::vector<cdouble>& piece : pieces) {
      plane.trace(piece, line_options(style) + " lw 1.6");
      for (const std::size_t n : {std::size_t{0}, piece.size() - 1}) {
        const Point at = plane.on_page(piece[n]);
        plane.plot(fmt::format("{} with points lc rgb '{}' pt {} ps 0.65 notitle", page.data(row(piece[n])),
                               style.colour, style.mark));
        const std::string mhz = fmt::format("{:.5g}", 1e-6 * tracks[i].frequency_hz[first + n]);
        const bool crowded = std::any_of(names.begin(), names.end(),
                                         [&](const Name& o) { return std::hypot(o.at.x - at.x, o.at.y - at.y) < 6.0; });
        if (!crowded && !one) names.push_back({at, mhz});
      }
      first += piece.size();
    }
  }
  for (const Name& name : names) plane.places().avoid_mark(name.at);
  for (const Name& name : names) plane.name(name.at, name.text, 6.5);
  plane.finish();
  page.legend(legend, {page_margin_pt, surround.bottom_pt() + legend.height_pt()}, page_pt);
  surround.put(page);
  return page.finish();
}

}  // namespace stile::plots
