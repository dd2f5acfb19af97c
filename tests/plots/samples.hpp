#pragma once
// Small charts and a folder for the tests of this room.

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

#include <stile/network/element.hpp>
#include <stile/plots/budget.hpp>
#include <stile/plots/smith.hpp>
#include <stile/plots/swr.hpp>

#include "temporary_folder.hpp"

namespace samples {

struct Folder : stile::temporary::Folder {
  std::size_t files() const {  // hidden ones count
    return static_cast<std::size_t>(std::distance(std::filesystem::directory_iterator(path()), {}));
  }
};

/// An environment variable for the life of the object.
class Environment {
public:
  Environment(std::string name, const std::string& value) : name_(std::move(name)) {
    if (const char* old = std::getenv(name_.c_str())) old_ = old;
    setenv(name_.c_str(), value.c_str(), 1);
  }
  Environment(const Environment&) = delete;
  Environment& operator=(const Environment&) = delete;
  ~Environment() { old_ ? setenv(name_.c_str(), old_->c_str(), 1) : unsetenv(name_.c_str()); }

private:
  std::string name_;
  std::optional<std::string> old_;
};

inline std::string content(const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

inline void write(const std::string& file, const std::string& text) { std::ofstream(file, std::ios::binary) << text; }

/// Renders into files. @return whether gnuplot was there
inline bool draw(const stile::plots::Chart& chart, const std::vector<std::string>& files) {
  const stile::plots::Rendering done = stile::plots::render(chart, files);
  for (std::size_t n = 0; n < done.pictures.size(); ++n) write(files[n], done.pictures[n]);
  return done.status == stile::plots::RenderStatus::rendered && done.pictures.size() == files.size();
}

inline const stile::plots::ChartText text{"A whip at 7.1 MHz & more <sample>", "sample source, version 1.2.3"};

// Feed impedances of a 3.0 m whip with one 7.5 m counterpoise at 7.1 MHz: wire lifted, in heather, in wet peat
// (thin-wire solution over a lossy half-space, rounded). Here they only have to look like loads of the trade.
inline stile::plots::Chart smith() {
  const stile::network::Ladder ladder{
      {{"C1", stile::network::Place::shunt, stile::network::Capacitor{400e-12}, {}},
       {"L1", stile::network::Place::series, stile::network::Inductor{22.4e-6, {.q = 250.0}}, {}}}};
  std::vector<stile::plots::SmithPath> paths;
  const auto add = [&](const char* name, stile::cdouble z) {
    paths.push_back({name, z, stile::plots::match_path(ladder, 7.1e6, z)});
  };
  add("lifted", {13.8, -1058.0});
  add("heather", {26.3, -975.0});
  add("wet", {38.0, -843.0});
  return stile::plots::smith_chart(paths, {}, text);
}

inline stile::plots::Chart budget(std::size_t bands = 6) {
  std::vector<stile::plots::BudgetPanel> panels;
  for (std::size_t i = 0; i < bands; ++i) {
    panels.push_back({"band " + std::to_string(i),
                      {{"coil at the base", {{"radiated", 0.42}, {"ground", 2.5}, {"network", 2.08}}},
                       {"tuner behind a cable", {{"cable", 1.0}, {"held back", 4.0}}}}});
  }
  return stile::plots::budget_chart(panels, text);
}

inline stile::plots::Chart swr(std::size_t bands = 6) {
  std::vector<stile::plots::SwrPanel> panels;
  for (std::size_t i = 0; i < bands; ++i) {
    panels.push_back({"band " + std::to_string(i),
                      {{"heather", {7.0e6, 7.1e6, 7.2e6}, {4.0, 1.1, 3.0}},
                       {"wet", {7.0e6, 7.1e6, 7.2e6}, {20.0, stile::network::infinite, 30.0}}}});
  }
  return stile::plots::swr_chart(panels, 2.0, text);
}

}  // namespace samples
