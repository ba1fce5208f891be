/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <cstdio>
#include <jetwright/jetwright.h>

int main()
{
	jw_atmosphere level{};
	if (jw_standard_atmosphere(0, &level, nullptr) != JW_OK)
		return 1;
	std::printf("%s %.3f kg/m3\n", jw_version(), level.density_kg_m3);
}
