#pragma once
// A chart as a gnuplot script that holds its own data, and its rendering.

#include <functional>
#include <string>
#include <string_view>
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
  rendered,    ///< every picture is there
  no_gnuplot,  ///< gnuplot is not on the PATH
  stopped,     ///< stop() was true; gnuplot is gone
};

struct Rendering {
  RenderStatus status = RenderStatus::not_run;
  std::vector<std::string> pictures;  ///< rendered: what the files are to hold, in the order asked
  std::string script;                 ///< no_gnuplot: what a script file is to hold; see render_command()
};

/// Renders a chart in one or several formats from one script. Nothing is written but in a temporary folder, gone at the
/// end: putting the pictures where they belong is the caller's.
///
/// The format follows the extension: .png (at least 1200 pixels wide), .svg or .pdf, in either case. Text is drawn in
/// DejaVu Sans where it is installed. Equal charts give equal bytes (the same gnuplot, cairo and fonts taken for
/// granted); for this the creation date of a PDF is set to 2000-01-01.
///
/// @param files  the names that the pictures shall have, not empty; for the extension and for messages
/// @param stop   asked every 20 ms while gnuplot runs, which may be for ever: true kills it. Empty: it is waited for
/// @return       see Rendering
/// @throws DomainError  no file, another extension, or a chart without size
/// @throws Error        the temporary folder cannot be written, or gnuplot fails (the message is gnuplot's first);
///                      messages on standard error count as failure even when gnuplot exits with 0
Rendering render(const Chart& chart, const std::vector<std::string>& files, const std::function<bool()>& stop = {});

/// A chart and the names of the files that it goes into.
struct ChartFiles {
  Chart chart;
  std::vector<std::string> files;
};

/// As render() of each, several at a time. @throws as render(); the message begins with the file that failed, or where
/// gnuplot drew several and only warned with all of them
std::vector<Rendering> render_all(const std::vector<ChartFiles>& charts, const std::function<bool()>& stop = {});

/// True for what `script` of a Rendering holds, and for any text that begins so.
bool is_chart_script(std::string_view text);

/// The command for a POSIX shell that renders a script file into a picture of any of the three formats.
std::string render_command(const std::string& script_file, const std::string& file);

}  // namespace stile::plots
