#include <stile/station/wires_file.hpp>

#include <stile/base/table.hpp>
#include <stile/station/detail/wire_table.hpp>

namespace stile::station {

std::vector<wire::WireCase> read_wires(std::string_view text, const std::string& file, const WiresOptions& options) {
  return detail::wires_from(detail::TomlTable::parse_all(text, file), options);
}

std::vector<wire::WireCase> load_wires(const std::string& path) { return read_wires(read_text_file(path), path); }

}  // namespace stile::station
