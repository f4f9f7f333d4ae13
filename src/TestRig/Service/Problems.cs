using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Mvc;

namespace TestRig.Service;

/// <summary>What went wrong, for programs: problem details (RFC 9457), with what is wrong as the title and what would be right as the detail.</summary>
internal static class Problems
{
    public static IResult Of(int status, string what, string remedy) => Results.Problem(remedy, statusCode: status, title: what);

    public static Task WriteAsync(HttpContext context, int status, string what, string remedy)
    {
        context.Response.StatusCode = status;
        return context.Response.WriteAsJsonAsync(new ProblemDetails { Status = status, Title = what, Detail = remedy }, (System.Text.Json.JsonSerializerOptions?)null, "application/problem+json");
    }
}
