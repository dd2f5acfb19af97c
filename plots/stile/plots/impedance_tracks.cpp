#include <stile/plots/impedance_tracks.hpp>

#include <algorithm>
#include <cmath>

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

/// Points by stretches of the axis.
template <class Make>
std::vector<std::vector<Point>> pieces_of(const ImpedanceTrack& c, const FrequencyAxis& axis, const Make& make) {
  std::vector<std::vector<Point>> pieces;
  std::size_t group = axis.groups();
  for (std::size_t n = 0; n < c.frequency_hz.size(); ++n) {
    if (axis.group(c.frequency_hz[n]) != group) pieces.emplace_back();
    group = axis.group(c.frequency_hz[n]);
    pieces.back().push_back(make(c.frequency_hz[n], c.z_ohm[n]));
  }
  return pieces;
}

}  // namespace

Chart tracks_chart(const std::vector<ImpedanceTrack>& tracks, const TrackTitles& titles, const ChartText& text) {
  check(tracks);
  const FrequencyAxis axis = axis_of(tracks);
  LinePanel r{titles.real, "frequency, MHz", titles.real_axis, axis.commands(), false, false, axis.groups(), {}};
  LinePanel x{
      titles.imaginary, "frequency, MHz", titles.imaginary_axis, axis.commands(), false, false, axis.groups(), {}};
  std::vector<std::string> labels;
  double least = 1e300, most = 0.0;
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
    }
  }
  r.log_y = least > 0.0 && most > 10.0 * least;
  return line_chart({r, x}, labels, {400.0, 170.0}, text, {});
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
  const Surround surround(
      text, {smith_note(reference_ohm) + (one ? "" : " Marks at the ends of each stretch, figures: MHz.")});
  Page page(surround.top_pt() + smith_frame_height_pt + 6.0 + legend.height_pt() + 4.0 + surround.bottom_pt());
  SmithPanel plane(page, page.height_pt() - surround.top_pt(), reference_ohm);

  struct Name {
    Point at;
    std::string text;
  };
  std::vector<Name> names;
  for (std::size_t i = 0; i < tracks.size(); ++i) {
    const LineStyle style = line_style(i);
    const auto pieces = pieces_of(tracks[i], axis, [&](double, cdouble z) {
      const cdouble g = (z - reference_ohm) / (z + reference_ohm);
      return Point{g.real(), g.imag()};
    });
    std::size_t first = 0;
    for (const std::vector<Point>& piece : pieces) {
      std::string rows;
      for (const Point& p : piece) {
        rows += fmt::format("{:.6f} {:.6f}\n", p.x, p.y);
        plane.places().avoid(plane.on_page({p.x, p.y}));
      }
      if (piece.size() > 1)
        plane.plot(fmt::format("{} with lines {} lw 1.6 notitle", page.data(rows), line_options(style)));
      for (const std::size_t n : {std::size_t{0}, piece.size() - 1}) {
        const Point at = plane.on_page({piece[n].x, piece[n].y});
        plane.plot(fmt::format("{} with points lc rgb '{}' pt {} ps 0.65 notitle",
                               page.data(fmt::format("{:.6f} {:.6f}\n", piece[n].x, piece[n].y)), style.colour,
                               style.mark));
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
