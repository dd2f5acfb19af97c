#pragma once
// Charts of an evaluated network, and where they go.

#include <string>
#include <vector>

#include <stile/network/ladder.hpp>
#include <stile/plots/chart.hpp>

#include "cli/command_line.hpp"
#include "cli/output.hpp"

namespace stile::tools {

/// Checks the arguments of --chart, before anything is computed.
/// @throws UsageError  an extension other than .png .svg .pdf
std::vector<std::string> chart_files(const Arguments& arguments);

/// Renders, several at a time, and adds the pictures to the results of the run; a signal meanwhile stops gnuplot.
/// Without gnuplot the scripts are added, each under the name of its first file, and warnings say how to run them.
/// @return  the SVG of each chart that has one among its files, empty where there is none or no gnuplot
/// @throws OutputError  gnuplot fails, or a file cannot be written
std::vector<std::string> add_charts(const std::vector<plots::ChartFiles>& charts, const Description& description,
                                    const Arguments& arguments, Outputs& outputs);

/// The same for one.
void add_chart(const plots::Chart& chart, const std::vector<std::string>& files, const Description& description,
               const Arguments& arguments, Outputs& outputs);

/// The way through the network at one frequency: reflection plane of the source's resistance.
plots::Chart path_chart(const std::string& tool, const network::Ladder& ladder, const network::Source& source,
                        const network::Evaluation& evaluation, double swr_limit, const std::string& origin);

/// SWR along a sweep of two points or more.
plots::Chart sweep_chart(const std::string& tool, const network::Ladder& ladder, const network::Source& source,
                         const std::vector<network::Evaluation>& points, double swr_limit, const std::string& origin);

}  // namespace stile::tools
