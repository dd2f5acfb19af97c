#include <stile/plots/chart.hpp>

#include <algorithm>
#include <cctype>
#include <cerrno>
#include <cmath>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <memory>
#include <string_view>

#include <fmt/core.h>
#include <gnuplot-iostream.h>

#include <stile/base/errors.hpp>
#include <stile/plots/gnuplot.hpp>

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

/// A folder beside a target, removed with all it holds.
class TemporaryFolder {
public:
  explicit TemporaryFolder(const std::string& target) {
    fs::path folder = fs::path(target).parent_path();
    if (folder.empty()) folder = ".";
    std::string name = (folder / ".stile-chart-XXXXXX").string();
    if (!mkdtemp(name.data())) {
      throw Error(fmt::format("{}: cannot write there: {}", target, std::strerror(errno)));
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

/// Terminals, so that text, lines and dashes have the same size in all three. The factors are measured (gnuplot 5.4):
/// pngcairo and pdfcairo take a font point as 1/96 inch at their own resolution, svg as one user unit.
std::string head(const Chart& chart) {
  const double png = std::max(png_px_per_pt, png_min_width_px / chart.width_pt);
  const double svg = 96.0 / 72.0;
  const auto whole = [](double x) { return static_cast<long>(std::ceil(x)); };
  return fmt::format(
      "# Chart with its data. To render it: gnuplot -d -e \"out='chart.png'\" THIS_FILE    (or .svg, .pdf)\n"
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
      whole(chart.width_pt * png), whole(chart.height_pt * png), 0.75 * png, png, png, whole(chart.width_pt * svg),
      whole(chart.height_pt * svg), svg, svg, chart.width_pt / 72.0, chart.height_pt / 72.0);
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
void fix_pdf_date(std::string bytes, const std::string& file) {
  constexpr std::string_view key = "/CreationDate (D:", date = "20000101000000";
  const std::size_t at = bytes.find(key);
  if (at == std::string::npos || at + key.size() + date.size() > bytes.size()) return;
  bytes.replace(at + key.size(), date.size(), date);
  std::ofstream out(file, std::ios::binary | std::ios::trunc);
  out << bytes;
  if (!out.flush()) throw Error(fmt::format("{}: cannot write", file));
}

void move_into_place(const std::string& from, const std::string& to) {
  std::error_code failure;
  fs::rename(from, to, failure);
  if (failure) throw Error(fmt::format("{}: cannot write: {}", to, failure.message()));
}

}  // namespace

Rendering render(const Chart& chart, const std::vector<std::string>& paths) {
  require(chart.width_pt > 0.0 && chart.height_pt > 0.0, "a chart needs a width and a height > 0");
  require(!paths.empty(), "no file to write a chart to");
  std::vector<std::string> kinds;
  kinds.reserve(paths.size());
  for (const std::string& path : paths) {
    kinds.push_back(extension(path));
    if (fs::is_directory(path)) throw Error(fmt::format("{}: cannot write: it is a folder", path));
  }

  std::vector<std::unique_ptr<TemporaryFolder>> folders;
  folders.reserve(paths.size());
  for (const std::string& path : paths) folders.push_back(std::make_unique<TemporaryFolder>(path));
  const std::string script = folders[0]->file("chart.gp");
  write_script(chart, script);

  Rendering result;
  for (std::size_t i = 0; i < paths.size(); ++i) {
    const std::string file = folders[i]->file("chart" + kinds[i]);
    const detail::GnuplotRun run = detail::run_gnuplot(script, file);
    if (!run.found) {
      result.status = RenderStatus::no_gnuplot;
      result.script_file = fs::path(paths[0]).replace_extension(".gp").string();
      move_into_place(script, result.script_file);
      for (const std::string& path : paths) {
        result.commands.push_back(detail::shell_command(result.script_file, path));
      }
      return result;
    }
    if (run.exit_status != 0 || !run.message.empty()) {
      throw Error(fmt::format("{}: gnuplot failed: {}", paths[i],
                              run.message.empty() ? fmt::format("exit status {}", run.exit_status) : run.message));
    }
    std::string bytes = content(file);
    if (!complete(bytes, kinds[i])) throw Error(fmt::format("{}: gnuplot left an incomplete file", paths[i]));
    if (kinds[i] == ".pdf") fix_pdf_date(std::move(bytes), file);
  }
  for (std::size_t i = 0; i < paths.size(); ++i) move_into_place(folders[i]->file("chart" + kinds[i]), paths[i]);
  result.status = RenderStatus::rendered;
  result.files = paths;
  return result;
}

}  // namespace stile::plots
