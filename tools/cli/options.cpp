#include "cli/options.hpp"

namespace stile::tools {

std::vector<Option> all_options(const Description& description) {
  std::vector<Option> all = description.options;
  if (description.charts) {
    all.push_back({"--chart", "FILE", "draw into FILE.png, FILE.svg or FILE.pdf; may be repeated", true, true});
  }
  all.push_back(
      {"--json", "", "result as JSON: SI units, the unit in the key; null stands for infinite and for not known"});
  all.push_back({"--csv", "", "result as CSV: SI units, inf stands for infinite, an empty cell for not known"});
  all.push_back({"-o", "FILE",
                 "write the result to FILE, which appears when it is complete; - is standard output (default)", false,
                 true});
  all.push_back({"--quiet", "", "no warnings and no reasons on standard error; the exit status tells"});
  all.push_back(
      {"--completion", "bash|fish", "write what this shell completes of the tool's options, to be read by the shell"});
  all.push_back({"--help", "", "this text"});
  all.push_back({"--version", "", "name and version"});
  return all;
}

bool is_positional(const Option& option) { return option.name.front() != '-'; }

}  // namespace stile::tools
