#include "cli/chart.hpp"

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <fstream>

#include <stile/match/match.hpp>
#include <stile/plots/smith.hpp>
#include <stile/plots/swr.hpp>

#include "cli/cautions.hpp"
#include "cli/circuit.hpp"
#include "cli/run.hpp"
#include "cli/table.hpp"

namespace stile::tools {
namespace {

std::string extension_of(const std::string& file) {
  std::string extension = std::filesystem::path(file).extension().string();
  std::transform(extension.begin(), extension.end(), extension.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return extension;
}

void add_script(const std::vector<std::string>& files, std::string&& text, const Description& description,
                const Arguments& arguments, Outputs& outputs) {
  const std::string script = std::filesystem::path(files.front()).replace_extension(".gp").string();
  if (std::ifstream there(script, std::ios::binary); there) {
    std::string line;
    std::getline(there, line);
    if (!line.empty() && !plots::is_chart_script(line)) {
      throw OutputError(script + ": is there and is no chart's script; without gnuplot the chart's would replace it; "
                                 "legal: another name for the chart, or gnuplot installed");
    }
  }
  outputs.add(script, std::move(text));
  std::string how;
  for (const std::string& file : files) how += (how.empty() ? "" : "; ") + plots::render_command(script, file);
  warn(description, arguments,
       "gnuplot is not installed; the chart's script is " + script + "; render it with: " + how);
}

}  // namespace

std::vector<std::string> chart_files(const Arguments& arguments) {
  std::vector<std::string> files = arguments.texts("--chart");
  for (const std::string& file : files) {
    const std::string extension = extension_of(file);
    if (extension != ".png" && extension != ".svg" && extension != ".pdf") {
      throw UsageError("--chart \"" + file + "\": no such kind of chart; legal: FILE.png FILE.svg FILE.pdf");
    }
  }
  return files;
}

std::vector<std::string> add_charts(const std::vector<plots::ChartFiles>& charts, const Description& description,
                                    const Arguments& arguments, Outputs& outputs) {
  outputs.hold();
  std::vector<plots::Rendering> renderings;
  try {
    renderings = plots::render_all(charts, [&] { return outputs.stop_asked(); });
  } catch (const DomainError&) {
    throw;
  } catch (const Error& error) {
    throw OutputError(std::string("the chart cannot be drawn: ") + error.what());
  }
  std::vector<std::string> svgs(charts.size());
  for (std::size_t n = 0; n < charts.size(); ++n) {
    const std::vector<std::string>& files = charts[n].files;
    if (renderings[n].status == plots::RenderStatus::no_gnuplot) {
      add_script(files, std::move(renderings[n].script), description, arguments, outputs);
      continue;
    }
    // Where it was stopped there are no pictures, and the first call does not come back.
    renderings[n].pictures.resize(files.size());
    for (std::size_t k = 0; k < files.size(); ++k) {
      if (extension_of(files[k]) == ".svg") svgs[n] = renderings[n].pictures[k];
      outputs.add(files[k], std::move(renderings[n].pictures[k]));
    }
  }
  return svgs;
}

void add_chart(const plots::Chart& chart, const std::vector<std::string>& files, const Description& description,
               const Arguments& arguments, Outputs& outputs) {
  add_charts({{chart, files}}, description, arguments, outputs);
}

plots::Chart path_chart(const std::string& tool, const network::Ladder& ladder, const network::Source& source,
                        const network::Evaluation& evaluation, double swr_limit, const std::string& origin) {
  const double reference_ohm = source.z_ohm.real();
  const plots::SmithPath path{"", evaluation.z_load_ohm,
                              plots::match_path(ladder, evaluation.frequency_hz, evaluation.z_load_ohm, reference_ohm)};
  std::string source_text = "Load: " + origin + ". Computed by " + version_text(tool) + chart_caution;
  if (source.z_ohm.imag() != 0.0) {
    source_text += " The plane shows the SWR on the transmitter's resistance; against its impedance, " +
                   impedance_text(source.z_ohm) + ", the SWR is " + figure(evaluation.swr) + ".";
  }
  return plots::smith_chart({path}, {reference_ohm, swr_limit},
                            {"From load to transmitter at " + stated_frequency(evaluation.frequency_hz), source_text});
}

plots::Chart sweep_chart(const std::string& tool, const network::Ladder& ladder, const network::Source& source,
                         const std::vector<network::Evaluation>& points, double swr_limit, const std::string& origin) {
  plots::SwrCurve curve{match::describe(ladder), {}, {}};
  for (const network::Evaluation& e : points) {
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
