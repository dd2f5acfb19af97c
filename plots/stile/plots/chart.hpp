#pragma once
// A chart as a gnuplot script that holds its own data, and its rendering into files.

#include <string>
#include <vector>

namespace stile::plots {

/// What every chart prints about itself.
struct ChartText {
  std::string title;   ///< what is shown and under which fixed conditions; long ones are wrapped
  std::string source;  ///< small type at the foot: where the numbers come from, program and version
};

/// A chart ready to render. Sizes are in points of 1/72 inch; the script draws the same page in every format.
struct Chart {
  double width_pt = 0.0;   ///< > 0
  double height_pt = 0.0;  ///< > 0
  std::string script;      ///< gnuplot commands and data, without terminal and output file
};

enum class RenderStatus {
  not_run,     ///< nothing was done
  rendered,    ///< every file was written
  no_gnuplot,  ///< gnuplot is not on the PATH: the script stands beside the first target
};

struct Rendering {
  RenderStatus status = RenderStatus::not_run;
  std::vector<std::string> files;     ///< what was rendered, in the order asked
  std::string script_file;            ///< no_gnuplot: the script that was left
  std::vector<std::string> commands;  ///< no_gnuplot: one shell command a target that renders it from the script
};

/// Renders a chart into one or several files from one script.
///
/// The format follows the extension: .png (at least 1200 pixels wide), .svg or .pdf, in either case. gnuplot writes
/// into a temporary folder beside each target; when all formats have succeeded they are renamed into place, so a
/// failure leaves neither a new nor a half-written file. Text is drawn in DejaVu Sans where it is installed.
///
/// Equal charts give equal bytes (the same gnuplot, cairo and fonts taken for granted); for this the creation date
/// of a PDF is set to 2000-01-01.
///
/// @param paths  targets, not empty; existing files are replaced
/// @return       see Rendering. Without gnuplot the script is written as the first target's name with the extension
///               .gp, and run from a shell it gives any of the three formats.
/// @throws DomainError  no target, another extension, or a chart without size
/// @throws Error        a folder cannot be written, or gnuplot fails (the message is gnuplot's first); messages on
///                      standard error count as failure even when gnuplot exits with 0
Rendering render(const Chart& chart, const std::vector<std::string>& paths);

}  // namespace stile::plots
