/* One OpenBLAS for numpy and scipy in the self-contained folder: 28 MB less.
 *
 * The wheels of numpy bring one with integers of 64 bits (names that end in 64_), those of scipy one with 32 bits. This library
 * stands in for numpy's: each routine that numpy calls is handed on to scipy's library. Integers that are passed by address are
 * read as their lower half, which is right on little-endian machines; what comes back as an integer is widened here. No array
 * of the program comes near 2^31 elements. Signatures: the reference BLAS and LAPACK (netlib.org), CBLAS.
 */
#include <stdint.h>

#if __BYTE_ORDER__ != __ORDER_LITTLE_ENDIAN__
#error "integers of 64 bits are read as 32: this needs a little-endian machine"
#endif

typedef int64_t wide;
typedef int32_t narrow;
typedef void *any;

#define CBLAS(name) scipy_cblas_##name
#define CBLAS_WIDE(name) scipy_cblas_##name##64_

#define LEVELS(t, number) \
    void CBLAS(t##gemm)(int, int, int, int, int, int, number, any, int, any, int, number, any, int); \
    void CBLAS_WIDE(t##gemm)(int order, int ta, int tb, wide m, wide n, wide k, number alpha, any a, wide lda, any b, \
                             wide ldb, number beta, any c, wide ldc) { \
        CBLAS(t##gemm)(order, ta, tb, m, n, k, alpha, a, lda, b, ldb, beta, c, ldc); \
    } \
    void CBLAS(t##gemv)(int, int, int, int, number, any, int, any, int, number, any, int); \
    void CBLAS_WIDE(t##gemv)(int order, int trans, wide m, wide n, number alpha, any a, wide lda, any x, wide incx, \
                             number beta, any y, wide incy) { \
        CBLAS(t##gemv)(order, trans, m, n, alpha, a, lda, x, incx, beta, y, incy); \
    } \
    void CBLAS(t##syrk)(int, int, int, int, int, number, any, int, number, any, int); \
    void CBLAS_WIDE(t##syrk)(int order, int uplo, int trans, wide n, wide k, number alpha, any a, wide lda, number beta, \
                             any c, wide ldc) { \
        CBLAS(t##syrk)(order, uplo, trans, n, k, alpha, a, lda, beta, c, ldc); \
    } \
    void CBLAS(t##axpy)(int, number, any, int, any, int); \
    void CBLAS_WIDE(t##axpy)(wide n, number alpha, any x, wide incx, any y, wide incy) { \
        CBLAS(t##axpy)(n, alpha, x, incx, y, incy); \
    }

LEVELS(s, float)
LEVELS(d, double)
LEVELS(c, any)
LEVELS(z, any)

#define DOT(t, number) \
    number CBLAS(t##dot)(int, any, int, any, int); \
    number CBLAS_WIDE(t##dot)(wide n, any x, wide incx, any y, wide incy) { return CBLAS(t##dot)(n, x, incx, y, incy); }

DOT(s, float)
DOT(d, double)

#define DOT_SUB(name) \
    void CBLAS(name)(int, any, int, any, int, any); \
    void CBLAS_WIDE(name)(wide n, any x, wide incx, any y, wide incy, any result) { CBLAS(name)(n, x, incx, y, incy, result); }

DOT_SUB(cdotu_sub)
DOT_SUB(cdotc_sub)
DOT_SUB(zdotu_sub)
DOT_SUB(zdotc_sub)

/* LAPACK: every argument is an address; `info` comes last. */
#define FORTRAN(name) scipy_##name##_
#define FORTRAN_WIDE(name) scipy_##name##_64_

#define COPY(name) \
    void FORTRAN(name)(any, any, any, any, any); \
    void FORTRAN_WIDE(name)(any n, any x, any incx, any y, any incy) { FORTRAN(name)(n, x, incx, y, incy); }

COPY(scopy)
COPY(dcopy)
COPY(ccopy)
COPY(zcopy)

#define POTRF(name) \
    void FORTRAN(name)(any, any, any, any, any); \
    void FORTRAN_WIDE(name)(any uplo, any n, any a, any lda, wide *info) { \
        narrow result = 0; \
        FORTRAN(name)(uplo, n, a, lda, &result); \
        *info = result; \
    }

POTRF(spotrf)
POTRF(dpotrf)
POTRF(cpotrf)
POTRF(zpotrf)

/* Pivots are written as integers of 32 bits into the first half of their array: from its end they are widened in place. */
static void widen(wide *array, wide count) {
    narrow *halves = (narrow *)array;
    for (wide i = count - 1; i >= 0; i--) {
        narrow value = halves[i];
        array[i] = value;
    }
}

static wide smaller(const wide *a, const wide *b) { return *a < *b ? *a : *b; }

#define PIVOTED(t) \
    void FORTRAN(t##gesv)(any, any, any, any, any, any, any, any); \
    void FORTRAN_WIDE(t##gesv)(wide *n, any nrhs, any a, any lda, wide *pivots, any b, any ldb, wide *info) { \
        narrow result = 0; \
        FORTRAN(t##gesv)(n, nrhs, a, lda, pivots, b, ldb, &result); \
        widen(pivots, *n); \
        *info = result; \
    } \
    void FORTRAN(t##getrf)(any, any, any, any, any, any); \
    void FORTRAN_WIDE(t##getrf)(wide *m, wide *n, any a, any lda, wide *pivots, wide *info) { \
        narrow result = 0; \
        FORTRAN(t##getrf)(m, n, a, lda, pivots, &result); \
        widen(pivots, smaller(m, n)); \
        *info = result; \
    }

PIVOTED(s)
PIVOTED(d)
PIVOTED(c)
PIVOTED(z)

#define GEQRF(name) \
    void FORTRAN(name)(any, any, any, any, any, any, any, any); \
    void FORTRAN_WIDE(name)(any m, any n, any a, any lda, any tau, any work, any lwork, wide *info) { \
        narrow result = 0; \
        FORTRAN(name)(m, n, a, lda, tau, work, lwork, &result); \
        *info = result; \
    }

GEQRF(dgeqrf)
GEQRF(zgeqrf)

#define ORGQR(name) \
    void FORTRAN(name)(any, any, any, any, any, any, any, any, any); \
    void FORTRAN_WIDE(name)(any m, any n, any k, any a, any lda, any tau, any work, any lwork, wide *info) { \
        narrow result = 0; \
        FORTRAN(name)(m, n, k, a, lda, tau, work, lwork, &result); \
        *info = result; \
    }

ORGQR(dorgqr)
ORGQR(zungqr)

/* Real: wr, wi ... work, lwork; complex: w ... work, lwork, rwork. Both have fourteen arguments. */
#define GEEV(name) \
    void FORTRAN(name)(any, any, any, any, any, any, any, any, any, any, any, any, any, any); \
    void FORTRAN_WIDE(name)(any jobvl, any jobvr, any n, any a, any lda, any p6, any p7, any p8, any p9, any p10, any p11, \
                            any p12, any p13, wide *info) { \
        narrow result = 0; \
        FORTRAN(name)(jobvl, jobvr, n, a, lda, p6, p7, p8, p9, p10, p11, p12, p13, &result); \
        *info = result; \
    }

GEEV(sgeev)
GEEV(dgeev)
GEEV(cgeev)
GEEV(zgeev)

/* The first element of iwork is the size that it should have, when that is asked for. */
#define SYEVD(name) \
    void FORTRAN(name)(any, any, any, any, any, any, any, any, any, any, any); \
    void FORTRAN_WIDE(name)(any jobz, any uplo, any n, any a, any lda, any w, any work, any lwork, wide *iwork, any liwork, \
                            wide *info) { \
        narrow result = 0; \
        FORTRAN(name)(jobz, uplo, n, a, lda, w, work, lwork, iwork, liwork, &result); \
        *iwork = *(narrow *)iwork; \
        *info = result; \
    }

SYEVD(ssyevd)
SYEVD(dsyevd)

#define HEEVD(name) \
    void FORTRAN(name)(any, any, any, any, any, any, any, any, any, any, any, any, any); \
    void FORTRAN_WIDE(name)(any jobz, any uplo, any n, any a, any lda, any w, any work, any lwork, any rwork, any lrwork, \
                            wide *iwork, any liwork, wide *info) { \
        narrow result = 0; \
        FORTRAN(name)(jobz, uplo, n, a, lda, w, work, lwork, rwork, lrwork, iwork, liwork, &result); \
        *iwork = *(narrow *)iwork; \
        *info = result; \
    }

HEEVD(cheevd)
HEEVD(zheevd)

#define GELSD_REAL(name) \
    void FORTRAN(name)(any, any, any, any, any, any, any, any, any, any, any, any, any, any); \
    void FORTRAN_WIDE(name)(any m, any n, any nrhs, any a, any lda, any b, any ldb, any s, any rcond, wide *rank, any work, \
                            any lwork, wide *iwork, wide *info) { \
        narrow result = 0, found = 0; \
        FORTRAN(name)(m, n, nrhs, a, lda, b, ldb, s, rcond, &found, work, lwork, iwork, &result); \
        *rank = found; \
        *iwork = *(narrow *)iwork; \
        *info = result; \
    }

GELSD_REAL(sgelsd)
GELSD_REAL(dgelsd)

#define GELSD_COMPLEX(name) \
    void FORTRAN(name)(any, any, any, any, any, any, any, any, any, any, any, any, any, any, any); \
    void FORTRAN_WIDE(name)(any m, any n, any nrhs, any a, any lda, any b, any ldb, any s, any rcond, wide *rank, any work, \
                            any lwork, any rwork, wide *iwork, wide *info) { \
        narrow result = 0, found = 0; \
        FORTRAN(name)(m, n, nrhs, a, lda, b, ldb, s, rcond, &found, work, lwork, rwork, iwork, &result); \
        *rank = found; \
        *iwork = *(narrow *)iwork; \
        *info = result; \
    }

GELSD_COMPLEX(cgelsd)
GELSD_COMPLEX(zgelsd)

#define GESDD_REAL(name) \
    void FORTRAN(name)(any, any, any, any, any, any, any, any, any, any, any, any, any, any); \
    void FORTRAN_WIDE(name)(any jobz, any m, any n, any a, any lda, any s, any u, any ldu, any vt, any ldvt, any work, \
                            any lwork, any iwork, wide *info) { \
        narrow result = 0; \
        FORTRAN(name)(jobz, m, n, a, lda, s, u, ldu, vt, ldvt, work, lwork, iwork, &result); \
        *info = result; \
    }

GESDD_REAL(sgesdd)
GESDD_REAL(dgesdd)

#define GESDD_COMPLEX(name) \
    void FORTRAN(name)(any, any, any, any, any, any, any, any, any, any, any, any, any, any, any); \
    void FORTRAN_WIDE(name)(any jobz, any m, any n, any a, any lda, any s, any u, any ldu, any vt, any ldvt, any work, \
                            any lwork, any rwork, any iwork, wide *info) { \
        narrow result = 0; \
        FORTRAN(name)(jobz, m, n, a, lda, s, u, ldu, vt, ldvt, work, lwork, rwork, iwork, &result); \
        *info = result; \
    }

GESDD_COMPLEX(cgesdd)
GESDD_COMPLEX(zgesdd)
