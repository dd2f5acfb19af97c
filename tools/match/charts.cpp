#include "match/charts.hpp"

#include "cli/chart.hpp"
#include "cli/circuit.hpp"

namespace stile::tools {

plots::Chart match_chart(const MatchCase& c, std::size_t solution) {
  const match::RealMatch& m = c.matches[solution];
  return path_chart("stile-match", m.built(), c.request.source, m.built_evaluation(), c.request.swr_limit,
                    load_text(c.request.load));
}

}  // namespace stile::tools
