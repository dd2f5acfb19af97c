#pragma once
// A plan on a card for the pack.

#include <stile/plots/pack_card.hpp>

#include "plan/report.hpp"

namespace stile::tools {

/// What is taken on each band, with its settings; conditions set alike share a line. Of a tuner also where its own
/// search may stop, and that it does not tune while the transmitter folds back. Accidents are left out.
plots::PackCard plan_card(const Answers& answers);

}  // namespace stile::tools
