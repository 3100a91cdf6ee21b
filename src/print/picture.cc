#include "print/picture.h"

#include <algorithm>
#include <cctype>

namespace runtrue {

Result<PictureKind> picture_kind_of(std::string_view path) {
  std::string ending(path.substr(std::min(path.size(), path.find_last_of('.'))));
  std::transform(ending.begin(), ending.end(), ending.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  if (ending == ".svg") return PictureKind::kSvg;
  if (ending == ".pdf") return PictureKind::kPdf;
  if (ending == ".png") return PictureKind::kPng;
  return bad_input("unknown kind of picture, expected a name that ends in .svg, .pdf or .png",
                   {std::string(path), 0, 0});
}

}  // namespace runtrue
