#include <stile/plots/whip_power.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/plots/line_panels.hpp>
#include <stile/plots/panels.hpp>

namespace stile::plots {
namespace {

using namespace detail;

struct Share {
  const char* name;
  double wire::AntennaShares::*share;
};
constexpr std::array<Share, 6> shares{{{"radiated", &wire::AntennaShares::radiated},
                                       {"ground", &wire::AntennaShares::ground},
                                       {"metal", &wire::AntennaShares::metal},
                                       {"coils", &wire::AntennaShares::coil},
                                       {"lumps and wet base", &wire::AntennaShares::lump},
                                       {"person", &wire::AntennaShares::person}}};

constexpr double least_share = 1e-4;  // 40 dB down: less is not drawn

double db(double share) { return 10.0 * std::log10(share); }

std::string range_text(double low, double high) {
  const auto text = [](double share) { return share > 0.0 ? fmt::format("{:.1f}", db(share)) : std::string("none"); };
  return text(low) == text(high) ? text(low) + " dB" : text(low) + " to " + text(high) + " dB";
}

}  // namespace

Chart whip_power_chart(const std::vector<WhipSweep>& conditions, const ChartText& text) {
  require(!conditions.empty() && conditions.size() <= 16, "a chart of a whip takes 1 to 16 conditions");
  std::vector<double> all;
  std::vector<std::string> titles;
  std::array<bool, shares.size()> used{};
  bool left_out = false;
  for (const WhipSweep& c : conditions) {
    require(!c.points.empty(), "a condition of a whip needs a point");
    double low = 1.0, high = 0.0, before = 0.0;
    for (const wire::AntennaSolution& s : c.points) {
      require(s.frequency_hz > before, "the frequencies of a whip must be > 0 and rising");
      before = s.frequency_hz;
      all.push_back(s.frequency_hz);
      low = std::min(low, s.share.radiated);
      high = std::max(high, s.share.radiated);
      for (std::size_t k = 0; k < shares.size(); ++k) {
        const double share = s.share.*shares[k].share;
        used[k] = used[k] || share >= least_share;
        left_out = left_out || (share > 0.0 && share < least_share);
      }
    }
    titles.push_back(fmt::format("{}: radiated {}", c.condition, range_text(low, high)));
  }
  // Many stretches need the whole width.
  const LineLayout narrow{140.0, 130.0}, wide{400.0, 130.0};
  const std::size_t stretches = FrequencyAxis(all, line_panel_width_pt(titles, narrow)).groups();
  const LineLayout& layout = stretches > 3 ? wide : narrow;
  const FrequencyAxis axis(all, line_panel_width_pt(titles, layout));

  std::vector<LinePanel> panels;
  std::vector<std::string> labels;
  for (std::size_t k = 0; k < shares.size(); ++k) {
    if (used[k]) labels.emplace_back(shares[k].name);
  }
  for (std::size_t p = 0; p < conditions.size(); ++p) {
    LinePanel panel{titles[p],
                    "frequency, MHz",
                    "share of the power into the feed, dB",
                    axis.commands(),
                    false,
                    true,
                    axis.groups(),
                    {}};
    std::size_t style = 0;
    for (std::size_t k = 0; k < shares.size(); ++k) {
      if (!used[k]) continue;
      PanelLine line{style++, {}};
      std::size_t group = axis.groups();
      for (const wire::AntennaSolution& s : conditions[p].points) {
        const double share = s.share.*shares[k].share;
        if (share < least_share) {
          group = axis.groups();
          continue;
        }
        if (axis.group(s.frequency_hz) != group) line.pieces.emplace_back();
        group = axis.group(s.frequency_hz);
        line.pieces.back().push_back({axis.x(s.frequency_hz), db(share)});
      }
      if (!line.pieces.empty()) panel.lines.push_back(std::move(line));
    }
    panels.push_back(std::move(panel));
  }
  std::vector<std::string> notes{"0 dB is all of it, -10 dB a tenth."};
  if (left_out) notes.front() += " Shares below -40 dB are left out.";
  return line_chart(panels, labels, layout, text, notes);
}

}  // namespace stile::plots
