#pragma once
// A TOML table read strictly: every value with its place, every key known. Hides the TOML library. Internal to the
// room.

#include <initializer_list>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <stile/base/quantity.hpp>

namespace stile::station::detail {

struct TomlNode;  // a table inside its document, kept alive by it

/// Two ways to read. After `parse` the first fault is thrown. After `parse_all` faults are noted: a value that cannot
/// be read gives one that would be legal, so that reading goes on behind it, an `item` ends where it cannot go on, and
/// `finish` throws what was found. What is found in an item that has a fault already is its consequence and not told.
class TomlTable {
public:
  /// @throws ParseError  not TOML (TOML 1.0), with line and column
  static TomlTable parse(std::string_view text, const std::string& file);
  static TomlTable parse_all(std::string_view text, const std::string& file);

  /// Reads something that stands by itself: a band, a cable. @return  false when it has a fault
  template <class Read>
  bool item(const Read& read) const {
    const std::size_t before = begin_item();
    try {
      read();
    } catch (const ParseError& error) {
      end_item(before, error);
    }
    return faults() == before;
  }
  std::size_t faults() const;  ///< noted so far
  /// @param before  faults noted by then are somebody else's
  /// @throws ParseError   one fault was noted since
  /// @throws ParseErrors  several
  void finish(std::size_t before = 0) const;

  bool has(std::string_view key) const;
  bool is_text(std::string_view key) const;   ///< false when the key is absent
  bool is_array(std::string_view key) const;  ///< the same
  const std::string& name() const {
    return name_;
  }  ///< "[transmitter]", "[tuner.inductors]", "[[load]] 2 whip": for messages

  // Values. A missing key, another type or an illegal value is a ParseError with its place.
  std::string text(std::string_view key) const;
  double quantity(std::string_view key, Unit unit) const;                 ///< "5 W", or a bare number in SI
  double positive(std::string_view key, Unit unit) const;                 ///< > 0
  cdouble impedance(std::string_view key) const;                          ///< "12-230j ohm", or a bare number
  std::vector<double> positives(std::string_view key, Unit unit) const;   ///< array of quantities > 0, not empty
  std::vector<double> quantities(std::string_view key, Unit unit) const;  ///< the same of any sign
  std::vector<std::string> texts(std::string_view key) const;             ///< array of texts
  std::vector<std::vector<double>> rows(std::string_view key, Unit unit,
                                        std::size_t columns) const;  ///< array of arrays of quantities of any sign
  bool flag(std::string_view key, bool fallback) const;

  // The same, where the key may be absent.
  std::optional<std::string> find_text(std::string_view key) const;
  std::optional<double> find_positive(std::string_view key, Unit unit) const;
  std::optional<double> find_not_negative(std::string_view key, Unit unit) const;

  std::optional<TomlTable> find_table(std::string_view key) const;
  TomlTable table(std::string_view key) const;  ///< @throws ParseError  it is not there, or no table
  std::vector<TomlTable>
  tables(std::string_view key) const;  ///< [[key]]; a single [key] counts as one; empty when absent
  std::vector<std::pair<std::string, TomlTable>> named_tables(std::string_view key) const;  ///< [key.NAME] ...

  /// A fault at every key that is not in the list, which the message gives.
  void only(std::initializer_list<std::string_view> legal) const;

  /// Throws a ParseError at the key's place (at the table's when the key is absent).
  [[noreturn]] void fail(std::string_view key, const std::string& message) const;
  /// The same where reading can go on; nothing when the key has a fault already.
  void fault(std::string_view key, const std::string& message) const;
  bool faulted(std::string_view key) const;
  Where where(std::string_view key) const;

private:
  std::size_t begin_item() const;
  void end_item(std::size_t before, const ParseError& error) const;
  std::vector<double> array(std::string_view key, Unit unit, bool positive_only) const;
  template <class Value, class Read>
  Value noted(std::string_view key, Value legal, const Read& read) const;
  TomlTable(std::shared_ptr<const TomlNode> node, std::string name) : node_(std::move(node)), name_(std::move(name)) {}
  std::shared_ptr<const TomlNode> node_;
  std::string name_;
};

}  // namespace stile::station::detail
