#include "handoff/report_sections.h"
#include "handoff/report_text.h"
#include "seamwright/days/chart.h"

namespace seamwright::report {
namespace {

/// In general words on purpose: figures and duties are the makers' sheets' and the local codes'.
constexpr std::string_view kCautions =
    R"html(<section id="cautions"><h2>Before you start: cautions</h2>
<ul>
<li><b>Fillers, glues, primers.</b> Polyester filler gives off styrene and its solvents burn; instant and
solvent glues irritate. Work in moving air, wear what the maker's sheet asks for, keep flames away.</li>
<li><b>Sanding.</b> Dust of plastic and filler belongs in no lung: sand wet or with extraction, wear a dust
mask that fits.</li>
<li><b>Welding plastic.</b> A hot tip burns, and hot plastic gives off fumes. Ventilate, and stop when it
smokes.</li>
<li><b>Wires and lights.</b> Fuse every supply close to its source, size wires for the current, keep joints
insulated and free of strain. Warm modules need air.</li>
<li><b>Lithium packs.</b> Use protected cells and their own charger, never charge unwatched or inside the
piece, keep a pack where you can drop it quickly, and ask the carrier before you travel with it.</li>
)html";

constexpr std::string_view kWarmthAndLoads =
    R"html(<li><b>Warmth.</b> PLA softens at about 60 °C: cars, dark parts in the sun, warm modules and spars under load
are enough.</li>
<li><b>Worn or overhead.</b> What hangs on a body must come off quickly and leave sight, breath and movement
free; what hangs over people needs a second fixing that does not rely on glue.</li>
</ul><p>A strength figure is an estimate, not a proof. The makers' sheets, local codes and licensed practice
come before anything said here.</p>
</section>
)html";

}  // namespace

std::string cautions_section() {
  return std::string(kCautions) + "<li><b>Printing unattended.</b> " +
         text::escaped(unattended_caution()) + "</li>\n" + std::string(kWarmthAndLoads);
}

}  // namespace seamwright::report
