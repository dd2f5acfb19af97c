#pragma once
// A plan on a card for the pack.

#include <stile/plan/plan.hpp>
#include <stile/plots/pack_card.hpp>

namespace stile::tools {

/// What is taken on each band, with its settings; conditions set alike share a line. Accidents are left out.
plots::PackCard plan_card(const station::Station& station, const plan::Plan& plan);

}  // namespace stile::tools
