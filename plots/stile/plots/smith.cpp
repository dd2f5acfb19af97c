#include <stile/plots/smith.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/network/waves.hpp>
#include <stile/plots/smith_grid.hpp>
#include <stile/plots/smith_panel.hpp>
#include <stile/plots/smith_window.hpp>

namespace stile::plots {
namespace {

using namespace detail;

constexpr std::size_t most_paths = 26;  // they are named by letters
constexpr double name_size_pt = 8.0;

void check(const std::vector<SmithPath>& paths, const SmithOptions& options) {
  require(!paths.empty() && paths.size() <= most_paths, "a chart of the reflection plane takes 1 to 26 paths");
  require(options.reference_ohm > 0.0 && std::isfinite(options.reference_ohm), "the reference must be > 0 and finite");
  require(options.swr_limit > 1.0 && std::isfinite(options.swr_limit), "the SWR limit must be > 1 and finite");
  const auto legal = [](cdouble z) {
    return std::isfinite(z.real()) && std::isfinite(z.imag()) && z.real() >= -1e-9 * std::abs(z);
  };
  for (const SmithPath& path : paths) {
    require(legal(path.z_load_ohm), "a load must be finite with a real part >= 0");
    for (const MatchStep& step : path.steps) {
      require(step.path_ohm.size() >= 2, "a step of a path needs two points");
      require(std::all_of(step.path_ohm.begin(), step.path_ohm.end(), legal),
              "the points of a path must be finite with a real part >= 0");
    }
  }
}

/// The labels of the n-th step in all conditions, each text once.
std::string step_text(const std::vector<SmithPath>& paths, std::size_t n) {
  std::vector<std::string> texts;
  for (const SmithPath& path : paths) {
    if (n < path.steps.size() && std::find(texts.begin(), texts.end(), path.steps[n].label) == texts.end()) {
      texts.push_back(path.steps[n].label);
    }
  }
  // What all begin with stands once: "L1, series 24.3 uH / 22.4 uH".
  std::size_t common = texts[0].size();
  for (const std::string& other : texts) {
    const auto ends = std::mismatch(texts[0].begin(), texts[0].end(), other.begin(), other.end());
    common = std::min(common, static_cast<std::size_t>(ends.first - texts[0].begin()));
  }
  const std::size_t blank = texts[0].substr(0, common).rfind(' ');
  for (std::size_t i = 1; i < texts.size(); ++i) texts[i].erase(0, blank == std::string::npos ? 0 : blank + 1);
  return fmt::format("{}", fmt::join(texts, " / "));
}

/// Four figures; what rounding leaves of an exact match is none: "50".
std::string impedance_text(cdouble z) {
  if (std::abs(z.imag()) <= 1e-9 * std::abs(z.real())) return fmt::format("{:.4g}", z.real());
  return fmt::format("{:.4g}{}{:.4g}j", z.real(), z.imag() < 0.0 ? "-" : "+", std::abs(z.imag()));
}

struct Named {
  Point at;
  std::string what, conditions;
  std::string text() const { return what + (what.empty() || conditions.empty() ? "" : ", ") + conditions; }
};

/// Names of the conditions as they stand in the chart: their own where these are few and short, else A, B, C ...
std::vector<std::string> short_names(const std::vector<SmithPath>& paths) {
  constexpr std::size_t few = 3;
  constexpr double short_pt = 60.0;
  bool own = paths.size() <= few;
  for (const SmithPath& path : paths) own = own && text_width_pt(path.condition, 8.0) <= short_pt;
  std::vector<std::string> names;
  for (std::size_t i = 0; i < paths.size(); ++i) {
    const bool alone = paths.size() == 1;
    names.push_back(own || alone ? paths[i].condition : std::string(1, static_cast<char>('A' + static_cast<char>(i))));
  }
  return names;
}

/// Marks that lie on each other share one name.
void add_name(std::vector<Named>& named, Point at, const std::string& what, const std::string& condition) {
  for (Named& other : named) {
    if (other.what == what && std::hypot(other.at.x - at.x, other.at.y - at.y) < 5.0) {
      other.conditions += " / " + condition;
      return;
    }
  }
  named.push_back({at, what, condition});
}

/// The point of one track that lies farthest from the other tracks and from the marks: where its name is not
/// mistaken. Far enough is enough, and then the middle is best.
Point free_point(const std::vector<std::vector<Point>>& tracks, std::size_t own, const std::vector<Named>& marks) {
  const std::vector<Point>& track = tracks[own];
  Point best = track[track.size() / 2];
  double most = -1.0;
  for (std::size_t i = 0; i < track.size(); ++i) {
    double room = 40.0;
    const auto near = [&](Point p) { room = std::min(room, std::hypot(p.x - track[i].x, p.y - track[i].y)); };
    for (std::size_t k = 0; k < tracks.size(); ++k) {
      if (k != own) std::for_each(tracks[k].begin(), tracks[k].end(), near);
    }
    for (const Named& mark : marks) near(mark.at);
    const double middle = 1.0 - std::abs(2.0 * static_cast<double>(i) / static_cast<double>(track.size()) - 1.0);
    if (room + 2.0 * middle > most) {
      most = room + 2.0 * middle;
      best = track[i];
    }
  }
  return best;
}

std::string swr_text(double reflection_abs) {
  if (reflection_abs >= 1.0) return "infinite";
  const double value = network::swr(reflection_abs);
  return value < 10.0 ? fmt::format("{:.2f}", value) : fmt::format("{:.3g}", value);
}

constexpr const char* load_mark = "lc rgb '#000000' pt 7 ps 0.9";
constexpr const char* input_mark = "lc rgb '#000000' pt 6 ps 1.6 lw 1.4";
constexpr const char* limit_line = "lc rgb '#000000' dt (2,3) lw 1.1";

/// The mark at the end of the index-th step.
std::string step_mark(std::size_t index) {
  const LineStyle style = line_style(index);
  return fmt::format("lc rgb '{}' pt {} ps 0.75", style.colour, style.mark);
}

std::vector<cdouble> reflections(const std::vector<cdouble>& z_ohm, double reference_ohm) {
  std::vector<cdouble> all;
  for (const cdouble z : z_ohm) all.push_back(network::reflection(z, reference_ohm, network::WaveDefinition::power));
  return all;
}

/// The part of the plane with the loads whose marks lie on each other in the whole plane; nothing when there are none,
/// or when they are at one point for any magnifier.
std::optional<SmithWindow> crowd(const std::vector<cdouble>& loads) {
  constexpr double near = 8.0 / smith_unit_pt, same = 5e-4;
  std::vector<cdouble> crowded;
  for (const cdouble g : loads) {
    if (std::any_of(loads.begin(), loads.end(),
                    [&](cdouble other) { return std::abs(g - other) < near && std::abs(g - other) > same; }))
      crowded.push_back(g);
  }
  return crowded.empty() ? std::nullopt : crowded_window(crowded);
}

/// Lines and marks of all paths, with the names of those loads and inputs that the panel shows. @return  these names
std::vector<Named> put_paths(SmithPanel& plane, Page& page, const std::vector<SmithPath>& paths,
                             const std::vector<std::string>& names, const SmithOptions& options) {
  const auto gamma = [&](cdouble z) { return reflections({z}, options.reference_ohm).front(); };
  plane.plot(fmt::format("{} with lines {} notitle",
                         page.data(circle(network::reflection_abs_from_swr(options.swr_limit))), limit_line));
  std::vector<Named> named;
  const auto mark = [&](cdouble z, const char* options_of_mark, const std::string& what, const std::string& condition) {
    plane.plot(fmt::format("{} with points {} notitle", page.data(row(gamma(z))), options_of_mark));
    if (plane.shows(gamma(z))) add_name(named, plane.on_page(gamma(z)), what, condition);
  };
  for (std::size_t i = 0; i < paths.size(); ++i) {
    const SmithPath& path = paths[i];
    for (std::size_t s = 0; s < path.steps.size(); ++s) {
      plane.trace(reflections(path.steps[s].path_ohm, options.reference_ohm), line_options(line_style(s)) + " lw 1.8");
      const cdouble end = gamma(path.steps[s].path_ohm.back());
      plane.plot(fmt::format("{} with points {} notitle", page.data(row(end)), step_mark(s)));
      plane.places().avoid_mark(plane.on_page(end));
    }
    mark(path.z_load_ohm, load_mark, "load", names[i]);
    if (!path.steps.empty()) mark(path.steps.back().path_ohm.back(), input_mark, "input", names[i]);
  }
  for (const Named& name : named) plane.places().avoid_mark(name.at);
  for (const Named& name : named) plane.name(name.at, name.text(), name_size_pt);
  return named;
}

/// Names paths on their lines; one with a load or an input that is its own is told by that.
void name_lines(SmithPanel& plane, const std::vector<SmithPath>& paths, const std::vector<std::string>& names,
                const std::vector<Named>& named, double reference_ohm) {
  if (paths.size() < 2) return;
  std::vector<std::vector<Point>> tracks;
  for (const SmithPath& path : paths) {
    tracks.emplace_back();
    for (const MatchStep& step : path.steps)
      for (const cdouble g : reflections(step.path_ohm, reference_ohm)) tracks.back().push_back(plane.on_page(g));
  }
  for (std::size_t i = 0; i < paths.size(); ++i) {
    const bool told =
        std::any_of(named.begin(), named.end(), [&](const Named& end) { return end.conditions == names[i]; });
    if (!told && !tracks[i].empty()) plane.name_line(free_point(tracks, i, named), names[i], name_size_pt);
  }
}

/// Says beside the magnified panel what it is.
void put_window_title(Page& page, Point at, double width_pt, double times) {
  constexpr double size_pt = 7.5, line_pt = 10.5;
  for (const std::string& line : wrapped(
           fmt::format("The square in the plane above, magnified {:.2g} times, with the same lines and marks.", times),
           size_pt, width_pt)) {
    page.text(at, line, size_pt);
    at.y -= line_pt;
  }
}

}  // namespace

Chart smith_chart(const std::vector<SmithPath>& paths, const SmithOptions& options, const ChartText& text) {
  check(paths, options);
  const double z0 = options.reference_ohm;
  std::size_t steps = 0;
  for (const SmithPath& path : paths) steps = std::max(steps, path.steps.size());
  const std::vector<std::string> names = short_names(paths);
  std::vector<LegendEntry> entries;
  for (std::size_t s = 0; s < steps; ++s) {
    entries.push_back({step_text(paths, s), line_options(line_style(s)) + " lw 1.8", step_mark(s), ""});
  }
  entries.push_back({"load", "", load_mark, ""});
  if (steps > 0) entries.push_back({"input, seen by the transmitter", "", input_mark, ""});
  entries.push_back({fmt::format("SWR {:.4g} on {:.4g} ohm", options.swr_limit, z0), limit_line, "", ""});
  const double page_pt = page_width_pt - 2.0 * page_margin_pt;
  const Legend legend(entries, page_pt);

  std::vector<LegendEntry> listed;
  for (std::size_t i = 0; i < paths.size(); ++i) {
    const SmithPath& path = paths[i];
    std::string line = names[i] == path.condition ? "" : names[i] + "  ";
    if (!path.condition.empty()) line += path.condition + ": ";
    line += fmt::format("load {} ohm", impedance_text(path.z_load_ohm));
    const cdouble z_input = path.steps.empty() ? path.z_load_ohm : path.steps.back().path_ohm.back();
    if (!path.steps.empty()) line += fmt::format(", input {} ohm", impedance_text(z_input));
    listed.push_back(
        {fmt::format("{}, SWR {}", line, swr_text(std::abs(reflections({z_input}, z0).front()))), "", "", ""});
  }
  const Legend list(listed, page_pt);
  std::vector<cdouble> loads;
  for (const SmithPath& path : paths) loads.push_back(path.z_load_ohm);
  const std::optional<SmithWindow> window = crowd(reflections(loads, z0));
  constexpr double window_pt = 230.0, gap_pt = 6.0;
  const Surround surround(text, {smith_note(z0)});

  Page page(surround.top_pt() + smith_frame_height_pt + (window ? gap_pt + window_pt + smith_figures_height_pt : 0.0) +
            6.0 + legend.height_pt() + list.height_pt() + 8.0 + surround.bottom_pt());
  const double top_pt = page.height_pt() - surround.top_pt();
  SmithPanel plane(page, top_pt, z0);
  if (window) plane.outline(*window);
  name_lines(plane, paths, names, put_paths(plane, page, paths, names, options), z0);
  plane.finish();
  if (window) {
    const double left = 0.5 * (page_width_pt - window_pt), top = top_pt - smith_frame_height_pt - gap_pt;
    SmithPanel magnified(page, left, top, window_pt, z0, *window);
    put_paths(magnified, page, paths, names, options);
    magnified.finish();
    put_window_title(page, {page_margin_pt, top - 24.0}, left - smith_figures_beside_pt - page_margin_pt,
                     0.5 * window_pt / window->half / smith_unit_pt);
  }
  double y = surround.bottom_pt() + list.height_pt();
  page.legend(list, {page_margin_pt - Legend::sample_pt, y}, page_pt);
  y += 4.0 + legend.height_pt();
  page.legend(legend, {page_margin_pt, y}, page_pt);
  surround.put(page);
  return page.finish();
}

}  // namespace stile::plots
