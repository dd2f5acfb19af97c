#pragma once
// std::visit with one lambda for each alternative.

namespace stile {

template <class... F>
struct Overloaded : F... {
  using F::operator()...;
};
template <class... F>
Overloaded(F...) -> Overloaded<F...>;

}  // namespace stile
