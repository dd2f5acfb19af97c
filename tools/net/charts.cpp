#include "net/charts.hpp"

#include "cli/chart.hpp"
#include "cli/circuit.hpp"

namespace stile::tools {

plots::Chart net_chart(const NetCase& c, double swr_limit) {
  return c.points.size() == 1
             ? path_chart("stile-net", c.ladder, c.source, c.points.front(), swr_limit, load_text(c.load))
             : sweep_chart("stile-net", c.ladder, c.source, c.points, swr_limit, load_text(c.load));
}

}  // namespace stile::tools
