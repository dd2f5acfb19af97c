#include "match/charts.hpp"

#include <algorithm>
#include <variant>

#include <fmt/core.h>

#include <stile/plots/swr.hpp>

#include "cli/cautions.hpp"
#include "cli/chart.hpp"
#include "cli/circuit.hpp"
#include "cli/table.hpp"

namespace stile::tools {

plots::Chart match_chart(const MatchCase& c, std::size_t solution) {
  const match::RealMatch& m = c.matches[solution];
  return path_chart("stile-match", m.built(), c.request.source, m.built_evaluation(), c.request.swr_limit,
                    load_text(c.request.load));
}

namespace {

/// "coils 5 %, capacitors 2 % off", of those that the network has.
std::string off_text(const network::Ladder& ladder, const match::Tolerances& tolerances) {
  const auto has = [&](const auto& kind) { return std::any_of(ladder.elements.begin(), ladder.elements.end(), kind); };
  std::string text;
  if (has([](const network::Element& e) { return std::holds_alternative<network::Inductor>(e.part); }))
    text += fmt::format("coils {:g} %", 100.0 * tolerances.inductor);
  if (has([](const network::Element& e) { return std::holds_alternative<network::Capacitor>(e.part); }))
    text += fmt::format("{}capacitors {:g} %", text.empty() ? "" : ", ", 100.0 * tolerances.capacitor);
  return text + " off";
}

}  // namespace

plots::Chart band_chart(const MatchCase& c, std::size_t solution) {
  const match::RealMatch& m = c.matches[solution];
  const match::SwrAcross across = match::swr_across(c.request, c.parts, m);
  const auto mhz = [](double frequency_hz) { return print_quantity(frequency_hz, Unit::hertz, 6); };
  plots::SwrPanel panel{match::describe(m.built()), {{"as built", across.frequency_hz, across.swr}}, 0.0, 0.0};
  if (c.parts.tolerances) {
    const match::Tolerances& t = *c.parts.tolerances;
    panel.curves.push_back(
        {"95 of 100 sets are not above: " + off_text(m.built(), t), across.frequency_hz, across.swr_95});
    panel.curves.push_back({"worst set", across.frequency_hz, across.worst_swr});
  }
  std::string within = "over the limit at " + mhz(c.request.frequency_hz);
  if (across.band.width_hz() > 0.0) {
    panel.use_low_hz = across.band.low_hz;
    panel.use_high_hz = across.band.high_hz;
    within = "within SWR " + figure(c.request.swr_limit) + " from " + mhz(across.band.low_hz) + " to " +
             mhz(across.band.high_hz);
    if (across.band.low_is_data_edge || across.band.high_is_data_edge)
      within += fmt::format(", and perhaps {}: the load's data end there", !across.band.low_is_data_edge    ? "above"
                                                                           : !across.band.high_is_data_edge ? "below"
                                                                                                            : "beyond");
  }
  return plots::swr_chart(
      {panel}, c.request.swr_limit,
      {"SWR at the transmitter, matched at " + stated_frequency(c.request.frequency_hz) + ": " + within,
       "Load: " + load_text(c.request.load) + ". Computed by " + version_text("stile-match") + chart_caution},
      "the band of what is built");
}

}  // namespace stile::tools
