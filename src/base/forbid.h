/* Functions nobody here may call: using one is a compile error (an undeclared name that says which). System headers
 * come first so that their own declarations are not touched. */
#ifndef AP_BASE_FORBID_H
#define AP_BASE_FORBID_H

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <time.h>

#undef strcpy
#define strcpy(...) ap_forbidden_strcpy
#undef strcat
#define strcat(...) ap_forbidden_strcat
#undef strncpy
#define strncpy(...) ap_forbidden_strncpy
#undef strncat
#define strncat(...) ap_forbidden_strncat
#undef sprintf
#define sprintf(...) ap_forbidden_sprintf
#undef vsprintf
#define vsprintf(...) ap_forbidden_vsprintf
#undef gets
#define gets(...) ap_forbidden_gets
#undef strtok
#define strtok(...) ap_forbidden_strtok
#undef atoi
#define atoi(...) ap_forbidden_atoi
#undef atol
#define atol(...) ap_forbidden_atol
#undef atof
#define atof(...) ap_forbidden_atof
#undef system
#define system(...) ap_forbidden_system
#undef popen
#define popen(...) ap_forbidden_popen
#undef alloca
#define alloca(...) ap_forbidden_alloca
#undef tmpnam
#define tmpnam(...) ap_forbidden_tmpnam
#undef mktemp
#define mktemp(...) ap_forbidden_mktemp
#undef setlocale
#define setlocale(...) ap_forbidden_setlocale
#undef asctime
#define asctime(...) ap_forbidden_asctime
#undef ctime
#define ctime(...) ap_forbidden_ctime
#undef gmtime
#define gmtime(...) ap_forbidden_gmtime
#undef localtime
#define localtime(...) ap_forbidden_localtime
#undef rand
#define rand(...) ap_forbidden_rand
#undef srand
#define srand(...) ap_forbidden_srand
#undef scanf
#define scanf(...) ap_forbidden_scanf
#undef sscanf
#define sscanf(...) ap_forbidden_sscanf
#undef fscanf
#define fscanf(...) ap_forbidden_fscanf

#endif
