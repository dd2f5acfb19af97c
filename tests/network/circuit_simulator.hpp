#pragma once
// A general circuit simulator (ngspice) as a second route.

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <fmt/core.h>

#include <stile/base/quantity.hpp>
#include <stile/base/table.hpp>

#include "temporary_folder.hpp"

namespace stile::network::test {

/// Vectors of an ASCII raw file with one point: "No. name type" lines, then "re,im" lines in the same order.
inline std::map<std::string, cdouble> read_raw(const std::filesystem::path& file) {
  std::istringstream text(read_text_file(file.string()));
  std::vector<std::string> names;
  std::map<std::string, cdouble> values;
  std::string line;
  while (std::getline(text, line) && line.rfind("Variables:", 0) != 0) {
  }
  while (std::getline(text, line) && line.rfind("Values:", 0) != 0) {
    std::istringstream words(line);
    std::string number, name;
    words >> number >> name;
    names.push_back(name);
  }
  std::string word;
  text >> word;  // number of the point
  for (const std::string& name : names) {
    double re = 0.0, im = 0.0;
    char comma = 0;
    text >> re >> comma >> im;
    REQUIRE(text);
    values[name] = {re, im};
  }
  return values;
}

/// Voltages "v(node)" and currents "i(source)" of a circuit at each frequency.
inline std::vector<std::map<std::string, cdouble>> simulated(const std::string& netlist,
                                                             const std::vector<double>& frequencies_hz) {
  if (std::system("command -v ngspice > /dev/null 2>&1") != 0) {
    FAIL("ngspice is not installed; this test needs Debian's package ngspice (apt-get install ngspice)");
  }
  const stile::temporary::Folder folder("stile-test");  // ngspice writes to no path with a space
  const std::string circuit = folder / "networks.cir";
  {
    // noopac: no operating point, so that nodes between capacitors may float at zero frequency.
    std::ofstream out(circuit);
    out << "networks, all at once\n.options noopac reltol=1e-12 abstol=1e-18 vntol=1e-18 gmin=1e-30\n" << netlist;
    out << ".control\nset filetype=ascii\nset numdgt=15\n";
    for (std::size_t k = 0; k < frequencies_hz.size(); ++k) {
      out << fmt::format("ac lin 1 {0:.17g} {0:.17g}\nwrite {1}/{2}.raw\n", frequencies_hz[k], folder.path().string(),
                         k);
    }
    out << "quit\n.endc\n.end\n";
    REQUIRE(out.flush());
  }
  const std::string log = folder / "log";
  const int status = std::system(fmt::format("ngspice -n -b '{}' > '{}' 2>&1", circuit, log).c_str());
  INFO(read_text_file(log));
  REQUIRE(status == 0);
  std::vector<std::map<std::string, cdouble>> solved;
  for (std::size_t k = 0; k < frequencies_hz.size(); ++k) solved.push_back(read_raw(folder / fmt::format("{}.raw", k)));
  return solved;
}

}  // namespace stile::network::test
