/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/jetwright.h>
#include <stdio.h>

int main(void)
{
	jw_atmosphere level;
	if (jw_standard_atmosphere(0, &level, NULL) != JW_OK)
		return 1;
	printf("%s %.3f kg/m3\n", jw_version(), level.density_kg_m3);
	return 0;
}
