#pragma once
// Preferred numbers of resistors, capacitors and inductors: the E series.
//
// Source: IEC 60063 (Preferred number series for resistors and capacitors). Value k of a series of N is 10^(k/N),
// rounded to 2 digits up to E24 and to 3 digits from E48 on. Exceptions: E24, and E12, E6, E3 which are every 2nd, 4th
// and 8th value of it, has 2.7 3.0 3.3 3.6 3.9 4.3 4.7 and 8.2 where the rule gives 2.6 2.9 3.2 3.5 3.8 4.2 4.6 and
// 8.3; E192 has 9.20 where the rule gives 9.19.

#include <string>
#include <string_view>
#include <vector>

namespace stile::match {

enum class ESeries { e3, e6, e12, e24, e48, e96, e192 };

/// The values of one decade in rising order, 1 <= value < 10; as many as the series' name says.
/// Accuracy: each is the double nearest to its decimal text.
/// For users of the library.
std::vector<double> e_series_decade(ESeries series);

/// The preferred values on both sides of a wanted one; the same twice when the wanted value is itself preferred.
struct Neighbours {
  double below = 0.0;
  double above = 0.0;
};

/// Preferred values with below <= value <= above and none between them.
///
/// @param value  any SI quantity, 1e-300..1e300
/// @return       same unit as value
/// @throws DomainError  value outside its range or not finite
/// Accuracy: each is the double nearest to its decimal text, so that 470 pF prints as 4.7e-10. A value computed as
/// 470 * 1e-12 may differ from that in the last bit and then counts as lying beside it.
Neighbours e_series_neighbours(ESeries series, double value);

/// The preferred value nearest in ratio, so that being 10 % high counts as much as being 10 % low (1/1.1 of it).
/// Halfway takes the lower.
///
/// @param value  any SI quantity, 1e-300..1e300
/// @return       same unit as value; accuracy as e_series_neighbours
/// @throws DomainError  value outside its range or not finite
/// For users of the library.
double e_series_nearest(ESeries series, double value);

/// The series by its name, "E3" to "E192".
/// @throws DomainError  another text (the message lists the names)
ESeries e_series_from_name(std::string_view name);

/// "E3" to "E192".
std::string e_series_name(ESeries series);

}  // namespace stile::match
