#include "cli/chart.hpp"

#include <algorithm>
#include <cctype>
#include <filesystem>

#include <stile/match/match.hpp>
#include <stile/plots/smith.hpp>
#include <stile/plots/swr.hpp>

#include "cli/cautions.hpp"
#include "cli/circuit.hpp"
#include "cli/run.hpp"
#include "cli/signals.hpp"
#include "cli/table.hpp"

namespace stile::tools {

std::vector<std::string> chart_files(const Arguments& arguments) {
  std::vector<std::string> files = arguments.texts("--chart");
  for (const std::string& file : files) {
    std::string extension = std::filesystem::path(file).extension().string();
    std::transform(extension.begin(), extension.end(), extension.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    if (extension != ".png" && extension != ".svg" && extension != ".pdf") {
      throw UsageError("--chart \"" + file + "\": no such kind of chart; legal: FILE.png FILE.svg FILE.pdf");
    }
  }
  return files;
}

void write_chart(const plots::Chart& chart, const std::vector<std::string>& files, const Description& description,
                 const Arguments& arguments) {
  plots::Rendering rendering;
  const HoldSignals held;
  try {
    rendering = plots::render(chart, files);
  } catch (const DomainError&) {
    throw;
  } catch (const Error& error) {
    throw OutputError(std::string("the chart cannot be drawn: ") + error.what());
  }
  if (rendering.status == plots::RenderStatus::no_gnuplot) {
    std::string how;
    for (const std::string& command : rendering.commands) how += (how.empty() ? "" : "; ") + command;
    warn(description, arguments,
         "gnuplot is not installed; the chart's script is " + rendering.script_file + "; render it with: " + how);
  }
}

void write_chart(const plots::Chart& chart, const std::vector<std::string>& files, const Description& description,
                 const Arguments& arguments, Outputs& outputs) {
  outputs.guard(files);
  outputs.guard(
      {std::filesystem::path(files.front()).replace_extension(".gp").string()});  // stays where gnuplot is missing
  write_chart(chart, files, description, arguments);
}

plots::Chart path_chart(const std::string& tool, const Ladder& ladder, const Source& source,
                        const Evaluation& evaluation, double swr_limit, const std::string& origin) {
  const double reference_ohm = source.z_ohm.real();
  const plots::SmithPath path{"", evaluation.z_load_ohm,
                              plots::match_path(ladder, evaluation.frequency_hz, evaluation.z_load_ohm, reference_ohm)};
  std::string source_text = "Load: " + origin + ". Computed by " + version_text(tool) + chart_caution;
  if (source.z_ohm.imag() != 0.0) {
    source_text += " The plane shows the SWR on the transmitter's resistance; against its impedance, " +
                   impedance_text(source.z_ohm) + ", the SWR is " + figure(evaluation.swr) + ".";
  }
  return plots::smith_chart(
      {path}, {reference_ohm, swr_limit},
      {"From load to transmitter at " + print_quantity(evaluation.frequency_hz, Unit::hertz, 7), source_text});
}

plots::Chart sweep_chart(const std::string& tool, const Ladder& ladder, const Source& source,
                         const std::vector<Evaluation>& points, double swr_limit, const std::string& origin) {
  plots::SwrCurve curve{describe(ladder), {}, {}};
  for (const Evaluation& e : points) {
    curve.frequency_hz.push_back(e.frequency_hz);
    curve.swr.push_back(e.swr);
  }
  const std::string band = print_quantity(points.front().frequency_hz, Unit::hertz, 6) + " to " +
                           print_quantity(points.back().frequency_hz, Unit::hertz, 6);
  return plots::swr_chart({{band, {curve}}}, swr_limit,
                          {"SWR at the transmitter, " + impedance_text(source.z_ohm),
                           "Load: " + origin + ". Computed by " + version_text(tool) + chart_caution});
}

}  // namespace stile::tools
