#include <stile/wire/known_couplings.hpp>

#include <stile/wire/detail/coupling_store.hpp>

namespace stile::wire {

KnownCouplings::KnownCouplings(std::size_t most_bytes) : store_(std::make_unique<detail::CouplingStore>(most_bytes)) {}
KnownCouplings::~KnownCouplings() = default;

std::size_t KnownCouplings::bytes() const { return store_->bytes(); }

}  // namespace stile::wire
