#include <stile/plots/chart.hpp>

#include <algorithm>
#include <cctype>
#include <cerrno>
#include <cmath>
#include <cstdlib>
#include <cstring>
#include <exception>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <optional>
#include <string_view>
#include <utility>

#include <fmt/core.h>
#include <fmt/ranges.h>
#include <gnuplot-iostream.h>

#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/plots/gnuplot.hpp>
#include <stile/plots/page.hpp>
#include <stile/plots/type.hpp>

namespace stile::plots {
namespace {

namespace fs = std::filesystem;

constexpr double png_min_width_px = 1200.0;
constexpr double png_px_per_pt = 2.5;  // 180 pixels an inch

/// ".png", ".svg" or ".pdf". @throws DomainError  another one
std::string extension(const std::string& path) {
  std::string text = fs::path(path).extension().string();
  std::transform(text.begin(), text.end(), text.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  if (text != ".png" && text != ".svg" && text != ".pdf") {
    throw DomainError(fmt::format("{}: a chart's name must end in .png, .svg or .pdf", path));
  }
  return text;
}

/// A folder of the machine's place for temporary files, removed with all it holds.
class TemporaryFolder {
public:
  TemporaryFolder() {
    std::error_code none;
    fs::path place = fs::temp_directory_path(none);
    if (none) place = "/tmp";
    std::string name = (place / "stile-chart-XXXXXX").string();
    if (!mkdtemp(name.data())) {
      throw Error(fmt::format("{}: cannot write there: {}", place.string(), std::strerror(errno)));
    }
    path_ = name;
  }
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  ~TemporaryFolder() {
    std::error_code ignored;  // a destructor has nobody to tell
    fs::remove_all(path_, ignored);
  }
  std::string file(const std::string& name) const { return (path_ / name).string(); }

private:
  fs::path path_;
};

constexpr std::string_view script_mark = "# Chart with its data.";

/// Terminals, so that text, lines and dashes have the same size in all three. The factors are measured (gnuplot 5.4):
/// pngcairo and pdfcairo take a font point as 1/96 inch at their own resolution, svg as one user unit.
std::string head(const Chart& chart) {
  const double png = std::max(png_px_per_pt, png_min_width_px / chart.width_pt);
  const double svg = 96.0 / 72.0;
  const auto whole = [](double x) { return static_cast<long>(std::ceil(x)); };
  return fmt::format(
      "{} To render it: gnuplot -d -e \"out='chart.png'\" THIS_FILE    (or .svg, .pdf)\n"
      "set encoding utf8\n"
      "set decimalsign '.'\n"
      "if (!exists('out')) out = 'chart.png'\n"
      "format = out[strlen(out)-2:strlen(out)]\n"
      "if (format eq 'png') set terminal pngcairo size {},{} font 'DejaVu Sans,8' fontscale {:.6g} linewidth {:.6g} "
      "pointscale {:.6g} butt noenhanced\n"
      "if (format eq 'svg') set terminal svg size {},{} font 'DejaVu Sans,8' fontscale {:.6g} linewidth {:.6g} "
      "dashed butt noenhanced background rgb 'white'\n"
      "if (format eq 'pdf') set terminal pdfcairo size {:.6g}in,{:.6g}in font 'DejaVu Sans,8' fontscale 0.75 "
      "linewidth 2 pointscale 1 butt noenhanced\n"
      "set output out\n",
      script_mark, whole(chart.width_pt * png), whole(chart.height_pt * png), 0.75 * png, png, png,
      whole(chart.width_pt * svg), whole(chart.height_pt * svg), svg, svg, chart.width_pt / 72.0,
      chart.height_pt / 72.0);
}

/// gnuplot-iostream as a plain writer: through its pipe a missing gnuplot would end the program by SIGPIPE.
void write_script(const Chart& chart, const std::string& file) {
  try {
    Gnuplot script(">" + file);
    script << head(chart) << chart.script << "set output\n";
    script.flush();
    if (!script) throw std::ios_base::failure("write error");
  } catch (const std::ios_base::failure& failure) {
    throw Error(fmt::format("{}: cannot write the chart's script: {}", file, failure.what()));
  }
}

std::string content(const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

/// gnuplot does not report a full disk; a whole file can be told by its end.
bool complete(const std::string& bytes, const std::string& kind) {
  const std::string_view mark = kind == ".png" ? "IEND" : kind == ".svg" ? "</svg>" : "%%EOF";
  const std::size_t tail = std::min<std::size_t>(bytes.size(), 32);
  return bytes.find(mark, bytes.size() - tail) != std::string::npos;
}

/// cairo writes the present time and heeds no SOURCE_DATE_EPOCH (1.16); the date is plain text of fixed length.
void fix_pdf_date(std::string& bytes) {
  constexpr std::string_view key = "/CreationDate (D:", date = "20000101000000";
  const std::size_t at = bytes.find(key);
  if (at == std::string::npos || at + key.size() + date.size() > bytes.size()) return;
  bytes.replace(at + key.size(), date.size(), date);
}

/// The picture of a chart for one of its files.
struct Picture {
  std::size_t chart = 0, place = 0;
  std::string kind, drawn;
};

/// What each gnuplot draws. To start one takes longer than most pictures, so that some share one; an SVG has its own,
/// because its first lines tell what was drawn before (gnuplot 5.4).
std::vector<std::vector<Picture>> share_out(std::vector<Picture> pictures) {
  constexpr std::size_t most = 8;
  std::vector<std::vector<Picture>> shares;
  std::optional<std::size_t> open;
  for (Picture& p : pictures) {
    const bool alone = p.kind == ".svg";
    if (alone || !open) {
      shares.emplace_back();
      if (!alone) open = shares.size() - 1;
    }
    std::vector<Picture>& share = alone ? shares.back() : shares[*open];
    share.push_back(std::move(p));
    if (!alone && share.size() == most) open.reset();
  }
  return shares;
}

/// Draws one share into the pictures of the charts.
RenderStatus draw(const std::vector<Picture>& share, const std::vector<ChartFiles>& charts,
                  const std::function<std::string(std::size_t)>& script, std::vector<Rendering>& all,
                  const std::function<bool()>& stop) {
  std::vector<detail::Drawing> drawings;
  for (const Picture& p : share) drawings.push_back({script(p.chart), p.drawn});
  const detail::GnuplotRun run = detail::run_gnuplot(drawings, stop);
  if (!run.found) return RenderStatus::no_gnuplot;
  detail::require_fonts();
  if (run.stopped) return RenderStatus::stopped;
  const bool failed = run.exit_status != 0 || !run.message.empty();
  std::vector<std::string> drawn, names;
  std::optional<std::string> broken;  // gnuplot ends at the first that fails
  for (const Picture& p : share) {
    drawn.push_back(content(p.drawn));
    names.push_back(charts[p.chart].files[p.place]);
    if (!broken && !complete(drawn.back(), p.kind)) broken = names.back();
  }
  if (failed) {  // where it only warned, any of them may be meant
    throw Error(fmt::format("{}: gnuplot failed: {}", broken.value_or(fmt::format("{}", fmt::join(names, ", "))),
                            run.message.empty() ? fmt::format("exit status {}", run.exit_status) : run.message));
  }
  if (broken) throw Error(*broken + ": gnuplot left an incomplete file");
  for (std::size_t n = 0; n < share.size(); ++n) {
    if (share[n].kind == ".pdf") fix_pdf_date(drawn[n]);
    all[share[n].chart].pictures[share[n].place] = std::move(drawn[n]);
  }
  return RenderStatus::rendered;
}

}  // namespace

bool is_chart_script(std::string_view text) { return text.substr(0, script_mark.size()) == script_mark; }

Rendering render(const Chart& chart, const std::vector<std::string>& files, const std::function<bool()>& stop) {
  return std::move(render_all({{chart, files}}, stop).front());
}

std::vector<Rendering> render_all(const std::vector<ChartFiles>& charts, const std::function<bool()>& stop) {
  std::vector<Picture> pictures;
  for (std::size_t c = 0; c < charts.size(); ++c) {
    const auto& [chart, files] = charts[c];
    require(chart.width_pt > 0.0 && chart.height_pt > 0.0, "a chart needs a width and a height > 0");
    require(!files.empty(), "no file to draw a chart for");
    for (std::size_t f = 0; f < files.size(); ++f) pictures.push_back({c, f, extension(files[f]), {}});
  }

  const TemporaryFolder folder;
  const auto script = [&](std::size_t c) { return folder.file(fmt::format("{}.gp", c)); };
  std::vector<Rendering> all(charts.size());
  for (std::size_t c = 0; c < charts.size(); ++c) {
    write_script(charts[c].chart, script(c));
    all[c].pictures.resize(charts[c].files.size());
  }
  for (Picture& p : pictures) p.drawn = folder.file(fmt::format("{}-{}{}", p.chart, p.place, p.kind));

  const std::vector<std::vector<Picture>> shares = share_out(std::move(pictures));
  std::vector<RenderStatus> ended(shares.size(), RenderStatus::rendered);
  std::vector<std::exception_ptr> failures(shares.size());
  in_blocks(shares.size(), 1, 0, [&](std::size_t n, std::size_t) {
    try {
      ended[n] = draw(shares[n], charts, script, all, stop);
    } catch (...) {
      failures[n] = std::current_exception();
    }
  });
  for (const std::exception_ptr& failure : failures) {  // the first in order, whichever came first
    if (failure) std::rethrow_exception(failure);
  }
  const auto any = [&](RenderStatus status) { return std::find(ended.begin(), ended.end(), status) != ended.end(); };
  const RenderStatus status = any(RenderStatus::no_gnuplot) ? RenderStatus::no_gnuplot
                              : any(RenderStatus::stopped)  ? RenderStatus::stopped
                                                            : RenderStatus::rendered;
  for (std::size_t c = 0; c < charts.size(); ++c) {
    all[c].status = status;
    if (status != RenderStatus::rendered) all[c].pictures.clear();
    if (status == RenderStatus::no_gnuplot) all[c].script = content(script(c));
  }
  return all;
}

std::string render_command(const std::string& script_file, const std::string& file) {
  const auto in_shell = [](const std::string& text) {
    std::string all = "\"";
    for (const char c : text) {
      if (c == '"' || c == '\\' || c == '$' || c == '`') all += '\\';
      all += c;
    }
    return all + "\"";
  };
  return fmt::format("gnuplot -d -e {} {}", in_shell("out=" + detail::quoted_name(file)), in_shell(script_file));
}

}  // namespace stile::plots
