#include <stile/plots/whip_impedance.hpp>

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

void check(const std::vector<WhipSweep>& conditions) {
  require(!conditions.empty() && conditions.size() <= 16, "a chart of a whip takes 1 to 16 conditions");
  for (const WhipSweep& c : conditions) {
    require(!c.points.empty(), "a condition of a whip needs a point");
    for (std::size_t n = 0; n < c.points.size(); ++n) {
      require(c.points[n].frequency_hz > (n ? c.points[n - 1].frequency_hz : 0.0),
              "the frequencies of a whip must be > 0 and rising");
      require(c.points[n].feed_ohm.real() > 0.0, "the resistance of a whip must be > 0");
    }
  }
}

FrequencyAxis axis_of(const std::vector<WhipSweep>& conditions) {
  std::vector<double> all;
  for (const WhipSweep& c : conditions) {
    for (const wire::AntennaSolution& s : c.points) all.push_back(s.frequency_hz);
  }
  return {std::move(all), panel_pt};
}

/// Points by stretches of the axis.
template <class Make>
std::vector<std::vector<Point>> pieces_of(const WhipSweep& c, const FrequencyAxis& axis, const Make& make) {
  std::vector<std::vector<Point>> pieces;
  std::size_t group = axis.groups();
  for (const wire::AntennaSolution& s : c.points) {
    if (axis.group(s.frequency_hz) != group) pieces.emplace_back();
    group = axis.group(s.frequency_hz);
    pieces.back().push_back(make(s));
  }
  return pieces;
}

}  // namespace

Chart whip_impedance_chart(const std::vector<WhipSweep>& conditions, const ChartText& text) {
  check(conditions);
  const FrequencyAxis axis = axis_of(conditions);
  LinePanel r{"Feed resistance", "frequency, MHz", "resistance, ohm", axis.commands(), false, false, axis.groups(), {}};
  LinePanel x{"Feed reactance", "frequency, MHz", "reactance, ohm", axis.commands(), false, false, axis.groups(), {}};
  std::vector<std::string> labels;
  double least = 1e300, most = 0.0;
  for (const WhipSweep& c : conditions) {
    const auto by = [&](double (*value)(const wire::AntennaSolution&)) {
      return pieces_of(c, axis, [&](const wire::AntennaSolution& s) {
        return Point{axis.x(s.frequency_hz), value(s)};
      });
    };
    r.lines.push_back({labels.size(), by([](const wire::AntennaSolution& s) { return s.feed_ohm.real(); })});
    x.lines.push_back({labels.size(), by([](const wire::AntennaSolution& s) { return s.feed_ohm.imag(); })});
    labels.push_back(c.condition);
    for (const wire::AntennaSolution& s : c.points) {
      least = std::min(least, s.feed_ohm.real());
      most = std::max(most, s.feed_ohm.real());
    }
  }
  r.log_y = most > 10.0 * least;
  return line_chart({r, x}, labels, {400.0, 170.0}, text, {});
}

Chart whip_smith_chart(const std::vector<WhipSweep>& conditions, double reference_ohm, const ChartText& text) {
  check(conditions);
  require(reference_ohm > 0.0 && std::isfinite(reference_ohm), "the reference must be > 0 and finite");
  const FrequencyAxis axis = axis_of(conditions);
  std::vector<LegendEntry> entries;
  for (std::size_t i = 0; i < conditions.size(); ++i) {
    const LineStyle style = line_style(i);
    entries.push_back({conditions[i].condition, line_options(style) + " lw 1.6",
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
  for (std::size_t i = 0; i < conditions.size(); ++i) {
    const LineStyle style = line_style(i);
    const auto pieces = pieces_of(conditions[i], axis, [&](const wire::AntennaSolution& s) {
      const cdouble g = (s.feed_ohm - reference_ohm) / (s.feed_ohm + reference_ohm);
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
        const std::string mhz = fmt::format("{:.5g}", 1e-6 * conditions[i].points[first + n].frequency_hz);
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
